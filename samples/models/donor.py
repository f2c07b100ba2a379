"""What donors are told: the biologist's messages, and mail to those who asked for it."""

from typing import TypeAlias

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.lake import Lake
from samples.models.party import Donor
from samples.models.user import User

LONGEST_MESSAGE = 600


class DonorMessage(models.Model):
    """One message to all donors of a lake. Withdrawn, it is shown nowhere and mailed no more."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="donor_messages")
    text = models.CharField(max_length=LONGEST_MESSAGE)
    posted_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    posted_at = models.DateTimeField()
    edited_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        indexes = [models.Index(fields=["lake", "posted_at"], name="donor_message_by_lake")]
        constraints = [
            models.CheckConstraint(name="donor_message_has_text", condition=~Q(text="")),
            models.CheckConstraint(
                name="donor_message_edited_after_it_was_posted",
                condition=Q(edited_at__isnull=True) | Q(edited_at__gte=F("posted_at")),
            ),
            models.CheckConstraint(
                name="donor_message_withdrawn_by_somebody",
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__gte=F("posted_at"), withdrawn_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"message {self.pk}"


class DonorAddress(models.Model):
    """Where a donor asked to get mail. Without history: an address taken out is gone."""

    donor = models.OneToOneField(Donor, on_delete=models.CASCADE, related_name="address")
    email = models.EmailField(max_length=200)
    noted_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    noted_at = models.DateTimeField(help_text="When the donor agreed to get mail.")
    stopped_at = models.DateTimeField(
        null=True, blank=True, help_text="When the donor stopped it by the link in a mail."
    )

    class Meta:
        verbose_name_plural = "donor addresses"

    def __str__(self) -> str:
        return f"address of donor {self.donor_id}"


class MailState(models.TextChoices):
    QUEUED = "queued", "Waiting"
    SENDING = "sending", "Handed to the mail server, no answer"
    SENT = "sent", "Sent"
    FAILED = "failed", "Failed"


class DonorMail(models.Model):
    """One message on its way to one address: claimed by its state, so that it goes once."""

    State: TypeAlias = MailState

    message = models.ForeignKey(DonorMessage, on_delete=models.CASCADE, related_name="mails")
    address = models.ForeignKey(DonorAddress, on_delete=models.CASCADE, related_name="mails")
    state = models.CharField(max_length=8, choices=MailState, default=MailState.QUEUED)
    queued_at = models.DateTimeField()
    tried_at = models.DateTimeField(null=True, blank=True)
    problem = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["message", "address"], name="donor_mail_once"),
            only_choices("state", MailState, name="donor_mail_state_known"),
            models.CheckConstraint(
                name="donor_mail_tried_unless_queued",
                condition=Q(state="queued") | Q(tried_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"mail {self.pk}"
