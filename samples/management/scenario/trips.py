"""Trips, creel interviews and net sets: when, where, and which fish came out of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import numpy as np

from samples.management.scenario.logged import Opened, log_one
from samples.management.scenario.programme import (
    CLERKS,
    CREEL_ARMS,
    CREEL_INTERVIEWS,
    CREEL_WALLEYE_SHARE,
    EFFORT,
    NET_CREW,
    NETS_IN_AUTUMN,
    NETS_IN_SPRING,
    SEASONS,
)
from samples.management.scenario.records import (
    FishRecord,
    NetSet,
    PartyRecord,
    UnmeasuredRecord,
)
from samples.management.scenario.stock import Cloud, SimulatedCatch
from samples.management.scenario.truth import (
    ARMS,
    CRAPPIES,
    LAST_CATCH_ON,
    TIME_ZONE,
    WALLEYE,
    WHITE,
    ArmTruth,
    SeasonTruth,
)

Clouds = dict[tuple[str, str], Cloud]

_ZONE: Final = ZoneInfo(TIME_ZONE)
_INCH_MM: Final = 25.4
_HOW: Final = ("every_fish", "every_nth", "size_asked", "biggest", "not_known")
_HOW_SHARE: Final = (0.62, 0.10, 0.10, 0.08, 0.10)
_NET_MIX: Final = (0.58, 0.26, 0.08, 0.08)
_MEASURED_AT_MOST: Final = 60
_VIALS_PER_NET: Final = 5
_WALLEYE_LIMIT: Final = 5
# Share of creel interviews in which the clerk also takes otoliths, and of how many fish.
_CREEL_WITH_VIALS: Final = 0.08
_CREEL_VIALS: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """One outing before anything is caught; ``effort`` is the place of a donor in EFFORT."""

    season: SeasonTruth
    day: date
    arm: ArmTruth
    kind: str
    effort: int = -1
    for_walleye: bool = False


@dataclass(frozen=True, slots=True)
class Trips:
    """All parties in the order of logging, and the fish whose otoliths were taken."""

    parties: tuple[PartyRecord, ...]
    with_otoliths: frozenset[UUID]


@dataclass(frozen=True, slots=True)
class _OneFish:
    species: str
    length_mm: float
    linf_mm: float
    female: bool
    year_class: int


def plan_trips(rng: np.random.Generator) -> list[Plan]:
    """Lay out every outing of all seasons, in order of date."""
    plans = [
        plan
        for place, season in enumerate(SEASONS)
        for plan in (
            *_donor_trips(rng, season, place),
            *_interviews(rng, season, place),
            *_net_sets(rng, season),
        )
    ]
    return sorted(plans, key=lambda plan: plan.day)


def _donor_trips(rng: np.random.Generator, season: SeasonTruth, place: int) -> Iterator[Plan]:
    for number, effort in enumerate(EFFORT):
        for _ in range(effort.trips[place]):
            yield Plan(
                season=season,
                day=_fishing_day(rng, season),
                arm=ARMS[int(rng.choice(len(ARMS), p=effort.arms))],
                kind="donor",
                effort=number,
                for_walleye=bool(rng.random() < effort.walleye_share),
            )


def _interviews(rng: np.random.Generator, season: SeasonTruth, place: int) -> Iterator[Plan]:
    for _ in range(CREEL_INTERVIEWS[place]):
        yield Plan(
            season=season,
            day=_fishing_day(rng, season),
            arm=ARMS[int(rng.choice(len(ARMS), p=CREEL_ARMS))],
            kind="creel",
            for_walleye=bool(rng.random() < CREEL_WALLEYE_SHARE),
        )


def _net_sets(rng: np.random.Generator, season: SeasonTruth) -> Iterator[Plan]:
    for first, days, sets_of_arm in (
        (date(season.year, 3, 12), 40, NETS_IN_SPRING),
        (date(season.year, 9, 12), 33, NETS_IN_AUTUMN),
    ):
        for arm, sets in zip(ARMS, sets_of_arm, strict=True):
            for _ in range(sets):
                day = first + timedelta(days=int(rng.integers(days)))
                yield Plan(season=season, day=day, arm=arm, kind="net")


def _fishing_day(rng: np.random.Generator, season: SeasonTruth) -> date:
    """Draw a day: most in spring, some in autumn, few in summer, more at weekends."""
    last = min(season.ends_on, LAST_CATCH_ON)
    while True:
        part = rng.random()
        if part < 0.58:
            day = date(season.year, 4, 20) + timedelta(days=round(rng.normal(0.0, 22.0)))
        elif part < 0.79:
            day = date(season.year, 6, 10) + timedelta(days=int(rng.integers(85)))
        else:
            day = date(season.year, 9, 20) + timedelta(days=round(rng.normal(0.0, 18.0)))
        if day.weekday() < 5 and rng.random() < 0.45:
            day += timedelta(days=5 - day.weekday())
        if season.starts_on <= day <= last:
            return day


def go_out(rng: np.random.Generator, clouds: Clouds, names: UUID) -> Trips:
    """Carry out every plan and write down its fish.

    ``names`` is the namespace of the ids, so that one seed always gives the same ones.
    """
    drawn = [
        _go(rng, clouds, plan, uuid5(names, f"party/{number}"), number)
        for number, plan in enumerate(plan_trips(rng))
    ]
    drawn.sort(key=lambda pair: (pair[0].opened_at, pair[0].party_id))
    return Trips(
        parties=tuple(party for party, _ in drawn),
        with_otoliths=frozenset(entry_id for _, taken in drawn for entry_id in taken),
    )


def _go(
    rng: np.random.Generator, clouds: Clouds, plan: Plan, party_id: UUID, number: int
) -> tuple[PartyRecord, list[UUID]]:
    box = _box(rng, clouds, plan)
    how, every_nth, chosen, in_box = _choose(rng, plan, box)
    kept = _kept_state(rng, plan)
    cleaned_on = _cleaned_on(rng, plan.day, kept)
    opened_at = datetime.combine(cleaned_on, time(12, 30), _ZONE) + timedelta(
        seconds=int(rng.integers(6 * 3600))
    )
    measured, uncounted = chosen[:_MEASURED_AT_MOST], chosen[_MEASURED_AT_MOST:]
    taken = _otoliths_from(rng, plan, measured)
    reach = plan.arm.reaches[int(rng.choice(3, p=(0.45, 0.35, 0.20)))].code
    # A boat that moved on within the arm logs the rest of its box from the next reach.
    moved = plan.kind == "donor" and rng.random() < 0.05
    fish: list[FishRecord] = []
    logged_at = opened_at
    for place, one in enumerate(measured):
        opened = place in taken
        logged_at += timedelta(seconds=int(rng.integers(9, 24) if opened else rng.integers(6, 13)))
        fish.append(
            log_one(
                rng,
                Opened(
                    entry_id=uuid5(party_id, f"fish/{place}"),
                    party_id=party_id,
                    arm=plan.arm.name,
                    reach="upper" if moved and place >= len(measured) // 2 else reach,
                    day=plan.day,
                    by_net=plan.kind == "net",
                    kept_state=kept,
                    opened=opened,
                    logged_at=logged_at,
                ),
                species=one.species,
                length_mm=one.length_mm,
                linf_mm=one.linf_mm,
                female=one.female,
                year_class=one.year_class,
            )
        )
    effort = EFFORT[plan.effort] if plan.kind == "donor" else None
    clerk = CLERKS[0] if plan.arm.name in {"Brindle", "Cutbank"} else CLERKS[1]
    tournament = how == "biggest" and effort is not None and not plan.for_walleye
    party = PartyRecord(
        party_id=party_id,
        season_year=plan.season.year,
        arm=plan.arm.name,
        reach=reach,
        caught_on=plan.day,
        cleaned_on=cleaned_on,
        method={"creel": "creel", "net": "trap_net"}.get(
            plan.kind, "tournament" if tournament and rng.random() < 0.5 else "angler_kept"
        ),
        how_chosen=how,
        every_nth=every_nth,
        fish_in_box=in_box,
        kept_state=kept,
        donor=effort.donor if effort else None,
        interview_key=f"{plan.day:%y%m%d}-{number:03d}" if plan.kind == "creel" else None,
        logged_by=effort.logged_by if effort else {"creel": clerk, "net": NET_CREW}[plan.kind],
        opened_at=opened_at,
        closed_at=None if rng.random() < 0.02 else logged_at + timedelta(seconds=40),
        closed_count=None,
        last_sequence=None,
        net=_net(rng) if plan.kind == "net" else None,
        unmeasured=_count_rest(party_id, uncounted),
        fish=tuple(fish),
    )
    return party, [fish[place].entry_id for place in sorted(taken)]


def _net(rng: np.random.Generator) -> NetSet:
    return NetSet(sets=int(rng.integers(1, 4)), nights=int(rng.integers(1, 3)), mesh_mm=13)


def _count_rest(party_id: UUID, rest: list[_OneFish]) -> tuple[UnmeasuredRecord, ...]:
    found = sorted({one.species for one in rest})
    return tuple(
        UnmeasuredRecord(
            entry_id=uuid5(party_id, f"unmeasured/{species}"),
            species=species,
            count=sum(one.species == species for one in rest),
        )
        for species in found
    )


def _box(rng: np.random.Generator, clouds: Clouds, plan: Plan) -> list[_OneFish]:
    """Catch the fish of an outing, in no order."""
    by_net = plan.kind == "net"
    if by_net:
        number = int(rng.negative_binomial(8, 8 / (8 + 43)))
        mix = dict(zip((*CRAPPIES, WALLEYE), _NET_MIX, strict=True))
    elif plan.for_walleye:
        number, mix = min(1 + int(rng.poisson(2.4)), _WALLEYE_LIMIT), {WALLEYE: 1.0}
    else:
        mean = 8.9 if plan.kind == "creel" else 6.7
        number = 1 + int(rng.negative_binomial(3, 3 / (3 + mean)))
        mix = dict(zip(CRAPPIES, plan.arm.catch_mix, strict=True))
    counts = rng.multinomial(number, list(mix.values()))
    box = [
        one
        for species, count in zip(mix, counts, strict=True)
        if count
        for one in _singly(
            species,
            clouds[plan.arm.name, species].catch(
                rng, day=plan.day, number=int(count), by_net=by_net
            ),
        )
    ]
    return [box[place] for place in rng.permutation(len(box))]


def _singly(species: str, caught: SimulatedCatch) -> Iterator[_OneFish]:
    for length, linf, female, year_class in zip(
        caught.length_mm.tolist(),
        caught.linf_mm.tolist(),
        caught.female.tolist(),
        caught.year_class.tolist(),
        strict=True,
    ):
        yield _OneFish(species, length, linf, female, year_class)


def _choose(
    rng: np.random.Generator, plan: Plan, box: list[_OneFish]
) -> tuple[str, int | None, list[_OneFish], int | None]:
    """Return how the fish that were given were chosen, and which they are.

    Boxes are drawn as what is given, so a box that was chosen from is made larger.
    """
    if plan.kind != "donor" or plan.for_walleye:
        return "every_fish", None, box, len(box)
    how = _HOW[int(rng.choice(len(_HOW), p=_HOW_SHARE))]
    if how == "every_nth":
        nth = int(rng.integers(2, 4))
        return how, nth, box, len(box) * nth
    if how == "biggest":
        given = sorted(box, key=lambda one: -one.length_mm)[: max(3, len(box) // 2)]
        return how, None, given, len(box)
    if how == "size_asked":
        asked_mm = (9 if plan.arm.name == "Cutbank" else 10) * _INCH_MM
        given = [one for one in box if one.length_mm >= asked_mm]
        return (how, None, given, len(box)) if given else ("every_fish", None, box, len(box))
    return how, None, box, None if how == "not_known" else len(box)


def _kept_state(rng: np.random.Generator, plan: Plan) -> str:
    if plan.kind == "net":
        return "fresh"
    frozen = 0.07 if plan.kind == "donor" else 0.0
    return str(rng.choice(("fresh", "iced", "frozen"), p=(0.35, 0.65 - frozen, frozen)))


def _cleaned_on(rng: np.random.Generator, day: date, kept: str) -> date:
    later = {"fresh": 0, "iced": int(rng.random() < 0.2), "frozen": int(rng.integers(4, 25))}
    return min(day + timedelta(days=later[kept]), LAST_CATCH_ON)


def _otoliths_from(rng: np.random.Generator, plan: Plan, measured: list[_OneFish]) -> set[int]:
    """Pick the fish whose otoliths are taken: all that are given, few of a net or a creel."""
    if plan.kind == "donor":
        return set(range(len(measured)))
    if plan.kind == "creel":
        taken = _CREEL_VIALS if rng.random() < _CREEL_WITH_VIALS else 0
        return set(range(min(taken, len(measured))))
    # Nets fill what donors cannot give: fish below the size that is kept, spread over inches.
    firsts: dict[tuple[bool, int], int] = {}
    for place, one in enumerate(measured):
        keep_from = plan.arm.stock(one.species).keep_from_hundredths_mm / 100.0
        if one.length_mm < keep_from:
            firsts.setdefault((one.species != WHITE, int(one.length_mm // _INCH_MM)), place)
    wanted = rng.permutation(list(firsts.values()))
    return {int(place) for place in wanted[:_VIALS_PER_NET]}
