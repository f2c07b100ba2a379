"""What is still needed from each arm, in the words of those who catch it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import NotRequired, TypedDict

from samples.accounts.selectors import fish_counted
from samples.models import Lake
from samples.rules.lake_time import local_day
from samples.targets.presenters.coverage import ArmRow, Coverage
from samples.targets.presenters.shaping import coverages_of_season
from samples.targets.queries.asks import ask_in_force, lines_of
from samples.targets.queries.choice import options_of
from samples.targets.rules import LengthBin


class NeededLengths(TypedDict):
    """A stretch of lengths, and how many more fish of it are asked for.

    ``sex`` came later than the rest: which sex is short, in words, or nothing.
    """

    lengths: str
    more: int
    sex: NotRequired[str]


class NeededSpecies(TypedDict):
    """``enough``: the lengths of which no more are asked for."""

    species: str
    needed: list[NeededLengths]
    enough: list[str]


class NeededArm(TypedDict):
    arm: str
    species: list[NeededSpecies]


class AskedLine(TypedDict):
    """Fish that the biologist asks for, in her words; without arms, any arm will do."""

    words: str
    arms: list[str]


class AskedList(TypedDict):
    """The list as the biologist worded it, and when it went out."""

    sent_at: str
    lines: list[AskedLine]
    enough: str


class NeededLake(TypedDict):
    """``asked`` came later than the rest: a phone may not know it, and does without."""

    lake: str
    arms: list[NeededArm]
    asked: AskedList | None


class NeededList(TypedDict):
    """What is still needed at each lake of a person, as of an instant."""

    as_of: str
    lakes: list[NeededLake]


def needed_list(lakes: Sequence[Lake], *, now: datetime) -> NeededList:
    """Return what is still needed at these lakes; of a lake without targets, nothing."""
    found: list[NeededLake] = [
        {
            "lake": lake.slug,
            "arms": needed_at(lake, local_day(now, lake.time_zone)),
            "asked": asked_at(lake, now=now),
        }
        for lake in lakes
    ]
    return {"as_of": now.isoformat(), "lakes": found}


def asked_at(lake: Lake, *, now: datetime) -> AskedList | None:
    """Return what the biologist asks for at a lake now, if a list is out."""
    ask = ask_in_force(lake, now=now)
    if ask is None:
        return None
    return {
        "sent_at": ask.sent_at.isoformat(),
        "lines": [{"words": line.words, "arms": list(line.arms)} for line in lines_of(ask)],
        "enough": ask.enough,
    }


def needed_at(lake: Lake, today: date) -> list[NeededArm]:
    """Return what is still needed from each arm of a lake, by species.

    Fish in hand are taken off, and lengths that hardly any fish reaches are not asked for, as on
    the page of coverage.
    """
    options = options_of(lake, today)
    season = options.first_season
    if season is None or not season.starts_on <= today <= season.ends_on:
        return []
    counted = coverages_of_season(fish_counted(lake), options, season)
    by_species = [
        (coverage.selection.species.name, coverage)
        for coverage, _ in counted
        if coverage.has_targets
    ]
    return [
        {"arm": arm.name, "species": asked}
        for arm in options.arms
        if (asked := [_species(name, coverage, arm.pk) for name, coverage in by_species])
    ]


@dataclass(frozen=True, slots=True)
class NeededOfArm:
    """What is asked for from an arm: its species, each with what there is enough of, in words."""

    lake: Lake
    arm: str
    species: list[tuple[NeededSpecies, str]]


def needed_by_arm(lakes: Sequence[Lake], *, now: datetime) -> list[NeededOfArm]:
    """Return the same for a page; species with something to catch come first."""
    return [
        NeededOfArm(lake, arm["arm"], [(one, enough_in_words(one)) for one in _by_need(arm)])
        for lake in lakes
        for arm in needed_at(lake, local_day(now, lake.time_zone))
    ]


def _by_need(arm: NeededArm) -> list[NeededSpecies]:
    return sorted(arm["species"], key=lambda species: not species["needed"])


def enough_in_words(species: NeededSpecies) -> str:
    """Say of which lengths of a species there are enough, or nothing."""
    if not species["enough"]:
        return ""
    lengths = " and ".join(words[:1].lower() + words[1:] for words in species["enough"])
    return f"We have enough {species['species'].lower()}: {lengths}."


def _species(name: str, coverage: Coverage, arm: int) -> NeededSpecies:
    row = next((one for one in coverage.rows if one.arm.pk == arm), None)
    asked = {(one.place, one.bin): one.of_donors for one in coverage.still_needed}
    # Neither asked of donors nor enough: what hardly grows there, and what nets are to bring.
    unasked = {(one.place, one.bin) for one in coverage.hardly_reached}
    unasked |= {(one.place, one.bin) for one in coverage.still_needed if one.nets}
    more = [_more(row, column, asked) for column in coverage.columns]
    enough = stretches(
        coverage.columns,
        lambda place: (
            more[place] == 0
            and _is_wanted(coverage, row, place)
            and (_arm_name(row), coverage.columns[place].name) not in unasked
            and ("Any arm", coverage.columns[place].name) not in unasked
        ),
    )
    return {
        "species": name,
        "needed": _needed(coverage, _arm_name(row), more),
        "enough": [lengths_in_words(coverage.columns, run) for run in enough],
    }


def needed_of_arm(coverage: Coverage, arm: int) -> list[NeededLengths]:
    """Return what guides are asked for in one arm, in runs of lengths as they say them."""
    row = next((one for one in coverage.rows if one.arm.pk == arm), None)
    asked = {(one.place, one.bin): one.of_donors for one in coverage.still_needed}
    more = [_more(row, column, asked) for column in coverage.columns]
    return _needed(coverage, _arm_name(row), more)


def _needed(coverage: Coverage, arm: str, more: Sequence[int]) -> list[NeededLengths]:
    runs = stretches(coverage.columns, lambda place: more[place] > 0)
    found: list[NeededLengths] = []
    for run in runs:
        line: NeededLengths = {
            "lengths": lengths_in_words(coverage.columns, run),
            "more": sum(more[at] for at in run),
        }
        if sex := sex_in_words(coverage, arm, run):
            line["sex"] = sex
        found.append(line)
    return found


def sex_in_words(coverage: Coverage, arm: str, run: Sequence[int]) -> str:
    """Say which sex the lake or this arm is short of in a run of bins, or nothing.

    Fish in hand that nobody has sexed yet may be of either, and are waited for.
    """
    rows = [row for row in coverage.rows if row.arm.name == arm]
    needs = [coverage.bins[at].lake_wide for at in run]
    needs += [need for row in rows for at in run if (need := row.cells[at].need)]
    short = [need.parts for need in needs if need.parts.to_collect_by_sex]
    females = any(one.females_to_collect for one in short)
    males = any(one.males_to_collect for one in short)
    if females and males:
        return "both sexes"
    return "females first" if females else "males first" if males else ""


def _arm_name(row: ArmRow | None) -> str:
    return row.arm.name if row else ""


def _more(row: ArmRow | None, column: LengthBin, asked: dict[tuple[str, str], int]) -> int:
    """Return how many this arm may still give: its own minimum, and what any arm may give."""
    return asked.get((_arm_name(row), column.name), 0) + asked.get(("Any arm", column.name), 0)


def _is_wanted(coverage: Coverage, row: ArmRow | None, place: int) -> bool:
    floor = row.cells[place].need if row else None
    return bool(floor or coverage.bins[place].lake_wide.wanted)


def stretches(columns: Sequence[LengthBin], belongs: Callable[[int], bool]) -> list[list[int]]:
    """Return the runs of neighboring bins that belong, each as places among the columns."""
    chosen = [place for place in range(len(columns)) if belongs(place)]
    # In a run, bin and place rise together: their difference stays.
    runs = groupby(enumerate(chosen), lambda item: columns[item[1]].place - item[0])
    return [[place for _, place in run] for _, run in runs]


def lengths_in_words(columns: Sequence[LengthBin], run: Sequence[int]) -> str:
    """Return a run of bins as a guide says it: "Under 8 in", "12 in and up", "9 to 10.9 in".

    A run of all bins names both its ends: nobody asked for what is shorter or longer.
    """
    first, last = columns[run[0]], columns[run[-1]]
    at_start, at_end = run[0] == 0, run[-1] == len(columns) - 1
    if at_start and not at_end:
        return f"Under {_plain(last.below_text)} {last.unit}"
    if at_end and not at_start:
        return f"{_plain(first.from_text)} {first.unit} and up"
    upper = last.name.removesuffix(f" {last.unit}").split("-")[1]
    return f"{_plain(first.from_text)} to {upper} {last.unit}"


def _plain(text: str) -> str:
    return text.removesuffix(".0")
