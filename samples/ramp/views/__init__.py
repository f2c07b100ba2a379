"""The ramp's pages."""

from samples.ramp.views.app import manifest, script, shell, worker
from samples.ramp.views.held import give_vial, held, held_entry
from samples.ramp.views.logging_fish import correct, log, mine, screen, undo, vial_link
from samples.ramp.views.parties import change_party, close_party, count, open_party, shift
from samples.ramp.views.paste import paste

__all__ = [
    "change_party",
    "close_party",
    "correct",
    "count",
    "give_vial",
    "held",
    "held_entry",
    "log",
    "manifest",
    "mine",
    "open_party",
    "paste",
    "screen",
    "script",
    "shell",
    "shift",
    "undo",
    "vial_link",
    "worker",
]
