"""How a laboratory clears, and how the slots of an archive box are named."""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from string import ascii_uppercase

# 3 parts of glycerin to 2 of ethanol, one to two weeks: common practice, no source.
GLYCERIN_PARTS, ETHANOL_PARTS = 3, 2
READY_AFTER_DAYS = 10
RINSE_WITHIN_DAYS = 28
MOST_PARTS = 20
MOST_DAYS = 365

# A double click, or a page that was sent again because no answer came.
SENT_TWICE_WITHIN = timedelta(minutes=1)

TRAY_SIZE = 50
MOST_IN_TRAY = 400
MOST_ROWS = len(ascii_uppercase)
MOST_COLUMNS = 30

_SLOT = re.compile(r"([A-Z])[\s,-]*0*([1-9]\d?)")
_NUMBERED = re.compile(r"0*([1-9]\d{0,3})")


@dataclass(frozen=True, slots=True)
class Medium:
    """What otoliths are cleared in, and for how long; both parts 0 for not at all."""

    glycerin_parts: int = GLYCERIN_PARTS
    ethanol_parts: int = ETHANOL_PARTS
    ready_after_days: int = READY_AFTER_DAYS
    rinse_within_days: int = RINSE_WITHIN_DAYS

    @property
    def is_none(self) -> bool:
        return not (self.glycerin_parts or self.ethanol_parts)

    def ready_on(self, started_on: date) -> date:
        return started_on if self.is_none else started_on + timedelta(days=self.ready_after_days)

    def rinse_by(self, started_on: date) -> date | None:
        return None if self.is_none else started_on + timedelta(days=self.rinse_within_days)


NO_MEDIUM = Medium(0, 0, 0, 0)
USUAL_MEDIUM = Medium()


def medium_text(glycerin_parts: int, ethanol_parts: int) -> str:
    """Return a medium in words: glycerin 3 : ethanol 2."""
    parts = [("glycerin", glycerin_parts), ("ethanol", ethanol_parts)]
    named = [(name, count) for name, count in parts if count]
    if not named:
        return "no medium"
    if len(named) == 1:
        return f"{named[0][0]} alone"
    return " : ".join(f"{name} {count}" for name, count in named)


def slots_of(rows: int, columns: int) -> Iterator[str]:
    """Yield the slots of a box in the order in which it is filled: A1, A2 ... B1."""
    for row in ascii_uppercase[:rows]:
        for column in range(1, columns + 1):
            yield f"{row}{column}"


def read_slot(typed: str, rows: int, columns: int) -> str | None:
    """Return a slot as it is kept, typed as c 3 or C-03; None where the box has none such."""
    read = _SLOT.fullmatch(typed.strip().upper())
    if read is None:
        return None
    slot = f"{read[1]}{int(read[2])}"
    return slot if slot in set(slots_of(rows, columns)) else None


def slot_on_map(words: str, rows: int, columns: int, *, down: bool) -> str | None:
    """Return the slot of a map that an old record means: its own name, or its number in order.

    Slots that were only numbered run along the rows, or ``down`` the columns.
    """
    number = _NUMBERED.fullmatch(words.strip())
    if number is None:
        return read_slot(words, rows, columns)
    at = int(number[1]) - 1
    if at >= rows * columns:
        return None
    row, column = (at % rows, at // rows) if down else divmod(at, columns)
    return f"{ascii_uppercase[row]}{column + 1}"


def next_free(rows: int, columns: int, taken: Collection[str], start: str = "") -> str | None:
    """Return the first free slot from a slot on, around to the first; None in a full box."""
    slots = list(slots_of(rows, columns))
    at = slots.index(start) if start in slots else 0
    return next((slot for slot in slots[at:] + slots[:at] if slot not in taken), None)
