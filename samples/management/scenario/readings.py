"""Two readers at the scope: what they count, where they err, and how quarrels end.

An error-free reading is what the otolith shows on the day of capture: the annuli laid by
then, and a margin that fits the date. Errors grow with age and with a poor otolith; the
second reader errs more often, and under the true age on old fish.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np

from samples.management.scenario.bench import OnBench, next_day
from samples.management.scenario.programme import BIOLOGIST, SECOND_READER
from samples.management.scenario.records import DecisionRecord, FishRecord, ReadingRecord
from samples.management.scenario.stock import growth_by, season_part, share_of_linf
from samples.management.scenario.truth import ANNULUS_WINDOW, TIME_ZONE, arm_named
from samples.management.scenario.vials import Filled, VialKey

_ZONE: Final = ZoneInfo(TIME_ZONE)
_CLEAR, _FAIR, _POOR = 1, 2, 3
_READ_TWICE: Final = 0.25
_LEFT_FOR_LATER: Final = 0.05
_FIRST_DAYS: Final = (1,)  # Tuesday
_SECOND_DAYS: Final = (2,)  # Wednesday
_MEASURED: Final = 0.45
_MARGIN_MISREAD: Final = 0.05
_JUST_LAID: Final = timedelta(days=14)
_UM_PER_MM_OF_FISH: Final = 7.6
_OLD: Final = 6
# Chance of a wrong count: at age 0, more for each year, and by how readable it is.
_WRONG_AT_0: Final = 0.06
_WRONG_PER_YEAR: Final = 0.028
_WRONG_BY_READABILITY: Final = {_CLEAR: 0.6, _FAIR: 1.1, _POOR: 2.2}
_SECOND_READER_WORSE: Final = 1.15
_HOW: Final = (
    ("section", 0.42, "Other otolith sectioned and read."),
    ("joint_reading", 0.38, "Read together at the scope."),
    ("third_reader", 0.12, "Shown to a third reader."),
    ("unresolved", 0.08, "Crowded edge; left open."),
)


@dataclass(frozen=True, slots=True)
class Lab:
    """All readings and decisions up to a day, in time order."""

    readings: tuple[ReadingRecord, ...]
    decisions: tuple[DecisionRecord, ...]
    read_on: dict[VialKey, tuple[date, date]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sat:
    """One reading before its hour is known; ``age`` is what it comes to, None if open.

    ``tray`` says where the vial lies in the tray, and so when its turn comes.
    """

    key: VialKey
    reader: str
    day: date
    tray: int
    annuli: int
    margin: int | None
    method: str
    readability: int
    error: int
    age: int | None
    blind: bool
    radii_um: tuple[int, ...] = ()
    edge_um: int | None = None
    note: str = ""


def true_count(fish: FishRecord, caught_on: date) -> int:
    """Count the annuli that the otolith shows: this year's only once it is laid."""
    return max(fish.true_age_yr - (caught_on < fish.laid_on), 0)


def true_margin(fish: FishRecord, caught_on: date, *, lean: float = 0.0) -> int | None:
    """Return the margin code of an error-free reading; None where there is no annulus.

    ``lean`` makes the margin of one fish wider or narrower than usual for its date.
    """
    if true_count(fish, caught_on) == 0:
        return None
    if caught_on < fish.laid_on:
        return 4
    if caught_on - fish.laid_on < _JUST_LAID:
        return 1
    if caught_on <= date(caught_on.year, *ANNULUS_WINDOW[1]):
        return 2
    # The part of the year's growth that stands beyond the annulus.
    beyond = (season_part(caught_on) - 0.12) / 0.88 + lean
    return 2 if beyond < 1 / 3 else 3 if beyond <= 2 / 3 else 4


def read_all(rng: np.random.Generator, bench: Iterable[OnBench], *, today: date) -> Lab:
    """Read every vial that was ready in time, some of them twice, and settle most quarrels."""
    sat: list[_Sat] = []
    decisions: list[DecisionRecord] = []
    for one in bench:
        if one.ready_on is None or one.filled.fish is None:
            continue
        of_vial, decision = _follow(rng, one.filled, one.filled.fish, one.ready_on)
        sat.extend(reading for reading in of_vial if reading.day <= today)
        if decision and decision.decided_on <= today:
            decisions.append(decision)
    return Lab(
        readings=_seated(sat),
        decisions=tuple(sorted(decisions, key=lambda d: (d.decided_on, d.sequence))),
        read_on=_days_read(sat),
    )


def _days_read(sat: list[_Sat]) -> dict[VialKey, tuple[date, date]]:
    days: dict[VialKey, tuple[date, date]] = {}
    for one in sat:
        first, last = days.get(one.key, (one.day, one.day))
        days[one.key] = (min(first, one.day), max(last, one.day))
    return days


def _follow(
    rng: np.random.Generator, filled: Filled, fish: FishRecord, ready_on: date
) -> tuple[list[_Sat], DecisionRecord | None]:
    """Follow one vial to its last reading, whenever that will be."""
    left = 110 if rng.random() < _LEFT_FOR_LATER else 0
    day = next_day(ready_on + timedelta(days=left + int(rng.gamma(1.5, 3.0))), _FIRST_DAYS)
    readability = _readability(rng, fish.true_age_yr)
    first = _read(rng, filled, fish, BIOLOGIST, day, readability)
    readings = [first]
    if rng.random() < _READ_TWICE:
        day = next_day(day + timedelta(days=int(rng.integers(3, 24))), _SECOND_DAYS)
        harder = min(readability + int(rng.random() < 0.15), _POOR)
        readings.append(_read(rng, filled, fish, SECOND_READER, day, harder))
    ages = {reading.age for reading in readings}
    if len(ages) == 1 and None not in ages:
        return readings, None
    decision = _decide(rng, filled, fish, first, day)
    if decision.how == "section":
        readings.append(_section(rng, filled, fish, decision.decided_on))
    return readings, decision


def _readability(rng: np.random.Generator, age: int) -> int:
    poor = 0.06 + 0.012 * age
    clear = max(0.66 - 0.04 * age, 0.2)
    chance = rng.random()
    if chance < clear:
        return _CLEAR
    return _POOR if chance > 1.0 - poor else _FAIR


def _read(
    rng: np.random.Generator,
    filled: Filled,
    fish: FishRecord,
    reader: str,
    day: date,
    readability: int,
) -> _Sat:
    caught_on = filled.party.caught_on
    shown = true_count(fish, caught_on)
    error = _error(rng, fish.true_age_yr, shown, reader, readability)
    lean = rng.normal(0.0, 0.07)
    margin = _margin(rng, fish, caught_on, shown + error, lean)
    in_window = _in_window(caught_on)
    method = _method(rng, shown + error, readability)
    measured = error == 0 and shown > 0 and method == "whole" and readability < _POOR
    radii: tuple[int, ...] = ()
    edge = None
    if measured and reader == BIOLOGIST and rng.random() < _MEASURED:
        *radii_list, edge = draw_radii(rng, caught_on, fish, shown)
        radii = tuple(radii_list)
    return _Sat(
        key=filled.key,
        reader=reader,
        day=day,
        tray=int(rng.integers(1_000_000)),
        annuli=shown + error,
        margin=margin,
        method=method,
        readability=readability,
        error=error,
        age=None if in_window and margin == 3 else fish.true_age_yr + error,
        blind=reader == SECOND_READER or rng.random() < 0.85,
        radii_um=radii,
        edge_um=edge,
        note="Edge crowded." if readability == _POOR and shown >= _OLD else "",
    )


def _error(rng: np.random.Generator, age: int, shown: int, reader: str, readability: int) -> int:
    """Draw by how many years a count is off; a sole annulus is never overlooked."""
    second = reader == SECOND_READER
    wrong = (_WRONG_AT_0 + _WRONG_PER_YEAR * age) * _WRONG_BY_READABILITY[readability]
    wrong *= _SECOND_READER_WORSE if second else 1.0
    chance, side, size = rng.random(3)
    if chance >= wrong:
        return 0
    under = 0.85 if second and age >= _OLD else 0.5
    years = 2 if size < 0.06 and age >= _OLD else 1
    if side < under:
        return -years if shown > years else 0
    return years if age > 0 else 0


def _in_window(day: date) -> bool:
    starts, ends = (date(day.year, *edge) for edge in ANNULUS_WINDOW)
    return starts <= day <= ends


def _margin(
    rng: np.random.Generator, fish: FishRecord, caught_on: date, counted: int, lean: float
) -> int | None:
    """Code the margin as the reader sees it: now and then one step off, as eyes are."""
    if counted == 0:
        return None
    # A ring counted where there is none yet leaves the edge as wide as before the annulus.
    margin = true_margin(fish, caught_on, lean=lean) or 4
    chance, side = rng.random(2)
    if chance >= _MARGIN_MISREAD:
        return margin
    if _in_window(caught_on):
        # Either side of the annulus stays what it is; the doubtful middle must be settled.
        return {1: 2, 2: 3 if side < 0.5 else 1, 4: 3}[margin]
    step = 1 if side < 0.5 else -1
    return min(max(margin + step, 2), 4)


def _method(rng: np.random.Generator, counted: int, readability: int) -> str:
    chance = rng.random()
    if counted > _OLD or readability == _POOR:
        return "section" if chance < 0.3 else "crack_burn" if chance < 0.65 else "whole"
    return "crack_burn" if chance < 0.04 else "whole"


def draw_radii(
    rng: np.random.Generator, caught_on: date, fish: FishRecord, shown: int
) -> tuple[int, ...]:
    """Return the radii of the annuli shown, and of the edge, in micrometres.

    The otolith grows in proportion to the fish: annulus k stands where growth stopped in
    the autumn of the fish's k-th year.
    """
    stock = arm_named(fish.arm).stock(fish.true_species)
    stops = [date(fish.true_year_class + year, 12, 31) for year in range(shown)]
    lengths = np.array(
        [
            fish.true_linf_mm * float(share_of_linf(stock, growth_by(fish.true_year_class, day)))
            for day in (*stops, caught_on)
        ]
    )
    own = _UM_PER_MM_OF_FISH * rng.normal(1.0, 0.02)
    radii = lengths * own * rng.normal(1.0, 0.006, lengths.size)
    # The edge cannot lie inside the last annulus, however little has grown since.
    # Each lies at least a micrometre outside the one before.
    place = np.arange(radii.size)
    return tuple(int(r) for r in np.maximum.accumulate(np.round(radii) - place) + place)


def _decide(
    rng: np.random.Generator, filled: Filled, fish: FishRecord, first: _Sat, last: date
) -> DecisionRecord:
    place = int(np.searchsorted(np.cumsum([share for _, share, _ in _HOW]), rng.random()))
    how, _, note = _HOW[min(place, len(_HOW) - 1)]
    right = how == "section" or first.age is None or rng.random() < 0.9
    age = fish.true_age_yr if right else first.age
    return DecisionRecord(
        season_year=filled.key[0],
        sequence=filled.key[1],
        age_yr=None if how == "unresolved" else age,
        how=how,
        note=note,
        decided_by=BIOLOGIST,
        decided_on=next_day(last + timedelta(days=int(rng.integers(20, 110))), _FIRST_DAYS),
    )


def _section(rng: np.random.Generator, filled: Filled, fish: FishRecord, day: date) -> _Sat:
    """Read the section that settles a quarrel, on the morning of the decision."""
    caught_on = filled.party.caught_on
    return _Sat(
        key=filled.key,
        reader=BIOLOGIST,
        day=day,
        tray=int(rng.integers(1_000_000)),
        annuli=true_count(fish, caught_on),
        margin=true_margin(fish, caught_on),
        method="section",
        readability=_CLEAR,
        error=0,
        age=fish.true_age_yr,
        blind=False,
    )


def _seated(sat: list[_Sat]) -> tuple[ReadingRecord, ...]:
    """Put each day's readings into one sitting a reader, in the order of the tray."""
    seated = []
    sitting: tuple[date, str] | None = None
    at = datetime.combine(date.min, time.min, _ZONE)
    for one in sorted(sat, key=lambda one: (one.day, one.reader, one.tray)):
        if (one.day, one.reader) != sitting:
            sitting = (one.day, one.reader)
            at = datetime.combine(one.day, time(8, 40), _ZONE)
        at += timedelta(seconds=60 + one.tray % 70)
        seated.append(_record(one, at))
    return tuple(sorted(seated, key=lambda reading: (reading.read_at, reading.reader)))


def _record(one: _Sat, at: datetime) -> ReadingRecord:
    return ReadingRecord(
        season_year=one.key[0],
        sequence=one.key[1],
        reader=one.reader,
        read_at=at,
        annuli=one.annuli,
        margin=one.margin,
        side="left" if one.tray % 3 else "right",
        method=one.method,
        light="transmitted" if one.method == "section" else "reflected",
        readability=one.readability,
        blind=one.blind,
        radii_um=one.radii_um,
        edge_um=one.edge_um,
        note=one.note,
        true_error_yr=one.error,
    )
