"""The ramp's pages."""

from samples.ramp.views.app import manifest, script, shell, worker
from samples.ramp.views.held import give_vial, held, held_entry
from samples.ramp.views.logging_fish import correct, log, mine, screen, undo, vial_link
from samples.ramp.views.parties import change_party, close_party, count, open_party, shift
from samples.ramp.views.paste import paste
from samples.ramp.views.photos import photo
from samples.ramp.views.slips import how_old
from samples.ramp.views.trips import carry_on, reopen_party, undo_count

__all__ = [
    "carry_on",
    "change_party",
    "close_party",
    "correct",
    "count",
    "give_vial",
    "held",
    "held_entry",
    "how_old",
    "log",
    "manifest",
    "mine",
    "open_party",
    "paste",
    "photo",
    "reopen_party",
    "screen",
    "script",
    "shell",
    "shift",
    "undo",
    "undo_count",
    "vial_link",
    "worker",
]
