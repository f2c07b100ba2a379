"""When a trip goes on, and what its end is asked about.

Nothing here refuses: a trip may be carried on on another day, and ended with any count.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from samples.rules import vial_number
from samples.rules.lake_time import local_day
from samples.rules.plausible import Question

# A night on the water may end after midnight; a trip that began two days ago is another trip.
CONTINUED_FOR = timedelta(hours=36)
ON_THE_WATER = timedelta(hours=6)


def is_of_another_day(written_at: datetime, now: datetime, time_zone: str) -> bool:
    """Return whether a day has begun at the lake since a trip was last spoken of."""
    return local_day(written_at, time_zone) < local_day(now, time_zone)


def likely_goes_on(written_at: datetime, last_fish_at: datetime | None, now: datetime) -> bool:
    """Return whether a trip of another day is likelier to go on than a new one to begin."""
    if now - written_at > CONTINUED_FOR:
        return False
    return now - (last_fish_at or written_at) <= ON_THE_WATER


def key_after(key: str) -> str:
    """Count the number at the end of an interview key on by one, in as many digits."""
    stem = key.rstrip("0123456789")
    digits = key[len(stem) :]
    return stem + str(int(digits) + 1).zfill(len(digits)) if digits else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VialsOfTrip:
    """The vials of a trip: those of its fish, those skipped between, those with two fish."""

    numbers: Sequence[str]
    skipped: Sequence[str] = ()
    doubled: Sequence[str] = ()


def closing_questions(in_hand: int, last_digits: str, vials: VialsOfTrip) -> list[Question]:
    """Ask about vials that are off by one, doubled, skipped or miscounted, the likeliest first.

    ``last_digits`` are those on the vial that was filled last, as far as they were typed.
    """
    logged = vials.numbers[-1] if vials.numbers else ""
    differs = bool(logged and last_digits) and not vial_number.ends_with(logged, last_digits)
    more = in_hand - len(vials.numbers)
    # A fish that was not logged, or logged twice, moves all after it and the count with them.
    fits = [by for by in (1, -1) if more in (0, by)]
    off = differs and any(_ends_off_by(logged, by, last_digits) for by in fits)
    asked = [_off_by_one(logged)] if off else []
    if vials.doubled:
        asked.append(_doubled(vials.doubled))
    if vials.skipped:
        asked.append(_skipped(vials.skipped))
    if in_hand != len(vials.numbers):
        asked.append(_count_differs(in_hand, len(vials.numbers)))
    if differs and not off:
        asked.append(_last_differs(logged))
    return asked


def first_unanswered(questions: Sequence[Question], answered: Collection[str]) -> list[Question]:
    """Return the first question whose code is not among the answered, if there is one."""
    return [one for one in questions if one.code not in answered][:1]


def asks_about_arm(before: str, after: str, has_fish: bool) -> bool:
    """Return whether to ask if a trip moved to another arm or its arm was wrong from the start.

    Only its fish make a difference: those logged before a move stay in the arm they came from.
    """
    return has_fish and before != after


def _ends_off_by(number: str, offset: int, last_digits: str) -> bool:
    try:
        return vial_number.ends_with(vial_number.step(number, offset), last_digits)
    except vial_number.VialNumberRefused:
        return False


def _off_by_one(logged: str) -> Question:
    words = f"The last fish was logged in {vial_number.grouped(logged)}. Are the vials off by one?"
    return Question("vials_off_by_one", "last_number", words)


def _doubled(numbers: Sequence[str]) -> Question:
    has = "has" if len(numbers) == 1 else "have"
    words = f"{_listed(numbers)} {has} two fish. Which vial is the other fish in?"
    return Question("vial_doubled", "count_in_hand", words)


def _skipped(numbers: Sequence[str]) -> Question:
    was, is_it = ("was", "Is it") if len(numbers) == 1 else ("were", "Are they")
    words = f"{_listed(numbers)} {was} skipped. {is_it} empty?"
    return Question("vials_skipped", "count_in_hand", words)


def _count_differs(in_hand: int, logged: int) -> Question:
    words = f"{in_hand} in hand, but {logged} logged with a vial. Check the vials against the list."
    return Question("count_differs", "count_in_hand", words)


def _last_differs(logged: str) -> Question:
    words = f"The last fish was logged in {vial_number.grouped(logged)}. Read the last label again."
    return Question("last_number_differs", "last_number", words)


def _listed(numbers: Sequence[str]) -> str:
    return ", ".join(vial_number.grouped(number) for number in numbers)
