"""Telling donors, mailing those who asked for it, and forgetting a donor."""

from samples.donors.services.addresses import (
    address_as_typed,
    address_of_token,
    is_mail_set_up,
    note_address,
    stop_address,
    take_out_address,
    token_of,
)
from samples.donors.services.forgetting import CannotForget, Forgotten, forget_donor
from samples.donors.services.mailing import (
    MailMaker,
    queue_mails,
    queue_unanswered,
    send_queued,
)
from samples.donors.services.messages import edit_message, post_message, withdraw_message
from samples.donors.services.switching import set_switches

__all__ = [
    "CannotForget",
    "Forgotten",
    "MailMaker",
    "address_as_typed",
    "address_of_token",
    "edit_message",
    "forget_donor",
    "is_mail_set_up",
    "note_address",
    "post_message",
    "queue_mails",
    "queue_unanswered",
    "send_queued",
    "set_switches",
    "stop_address",
    "take_out_address",
    "token_of",
    "withdraw_message",
]
