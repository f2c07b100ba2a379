"""The list by rule: the shortfall in the words of those who catch the fish."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from samples.accounts.selectors import fish_counted
from samples.asks.parts import Draft, DraftLine, WantedFish
from samples.models import Ask, Lake
from samples.models.ask import FishAsked
from samples.rules.and_text import and_text
from samples.targets.presenters.coverage import Coverage
from samples.targets.presenters.for_guides import lengths_in_words, sex_in_words, stretches
from samples.targets.presenters.shaping import coverages_of_season
from samples.targets.queries.asks import Line, lines_of
from samples.targets.queries.choice import options_of
from samples.targets.rules import LengthBin

# A poster holds so many; nobody at a ramp reads more.
MOST_LINES = 12
ANY_ARM = "Any arm"


@dataclass(frozen=True, slots=True)
class _Run:
    """Lengths of a species that one place is short of."""

    species: str
    lengths: str
    place: str
    fish: WantedFish


def draft_of(lake: Lake, today: date, last: Ask | None) -> Draft | None:
    """Write the list of the season under way, the most fish first; None outside a season.

    A line that asks for the same fish as one of the last list keeps the words of that one.
    """
    options = options_of(lake, today)
    season = options.first_season
    if season is None or not season.starts_on <= today <= season.ends_on:
        return None
    counted = [one for one, _ in coverages_of_season(fish_counted(lake), options, season)]
    arms = {arm.name: arm.pk for arm in options.arms}
    runs = [run for coverage in counted for run in _runs(coverage, arms)]
    lines = sorted(_together(runs, list(arms)), key=lambda line: -line.wanted)
    known = _words_of(last)
    kept = tuple(
        DraftLine(known.get(_key(line), line.words), line.place_names, line.fish)
        for line in lines[:MOST_LINES]
    )
    return Draft(season.pk, kept, enough_sentence(counted), max(0, len(lines) - MOST_LINES))


def _runs(coverage: Coverage, arms: dict[str, int]) -> Iterable[_Run]:
    columns, species = coverage.columns, coverage.selection.species
    for place in [*arms, ANY_ARM]:
        here = [one for one in coverage.still_needed if one.place == place]
        more = {one.bin: one.of_donors for one in here if one.of_donors}
        short = {at for at, column in enumerate(columns) if column.name in more}
        for run in stretches(columns, short.__contains__):
            lower, upper = _range(columns, run)
            wanted = sum(more[columns[at].name] for at in run)
            fish = WantedFish(species.pk, arms.get(place), lower, upper, wanted)
            lengths = _lower_first(lengths_in_words(columns, run))
            sex = sex_in_words(coverage, place, run)
            yield _Run(species.name, f"{lengths}, {sex}" if sex else lengths, place, fish)


def _range(columns: Sequence[LengthBin], run: Sequence[int]) -> tuple[int, int | None]:
    """Return the lengths of a run as its words say them: without an end where they name none."""
    first, last = columns[run[0]], columns[run[-1]]
    at_start, at_end = run[0] == 0, run[-1] == len(columns) - 1
    lower = 0 if at_start and not at_end else first.from_hundredths
    upper = None if at_end and not at_start else last.below_hundredths
    return lower, upper


def _together(runs: Sequence[_Run], order: Sequence[str]) -> list[DraftLine]:
    """Join arms that are short of the same, then species that the same arms are short of."""
    places: dict[tuple[str, str, bool], list[_Run]] = {}
    for run in runs:
        # What any arm may give is asked for apart from what one arm must.
        key = (run.species, run.lengths, run.place == ANY_ARM)
        places.setdefault(key, []).append(run)
    lines: dict[tuple[str, tuple[str, ...]], list[list[_Run]]] = {}
    for found in places.values():
        at = tuple(run.place for run in found)
        lines.setdefault((found[0].lengths, at), []).append(found)
    return [
        DraftLine(
            f"{_listed([found[0].species for found in of_species])} {lengths}",
            _listed(sorted(at, key=[*order, ANY_ARM].index), lower=False),
            tuple(run.fish for found in of_species for run in found),
        )
        for (lengths, at), of_species in lines.items()
    ]


def enough_sentence(counted: Iterable[Coverage]) -> str:
    """Say of which lengths the lake has enough, or nothing."""
    said = []
    for coverage in counted:
        columns = coverage.columns
        enough = stretches(columns, _places_met(coverage).__contains__)
        lengths = [_lower_first(lengths_in_words(columns, run)) for run in enough]
        if lengths:
            said.append(f"{coverage.selection.species.name.lower()} {_listed(lengths)}")
    return f"We have plenty of {'; '.join(said)}." if said else ""


def _places_met(coverage: Coverage) -> set[int]:
    """Return the columns of which some are wanted and none, from any arm, is short."""
    short = {one.bin for one in [*coverage.still_needed, *coverage.hardly_reached]}
    wanted = [
        one.lake_wide.wanted or any(floor.wanted for floor in one.floors) for one in coverage.bins
    ]
    return {
        at for at, column in enumerate(coverage.columns) if wanted[at] and column.name not in short
    }


def _key(line: Line | DraftLine) -> frozenset[FishAsked]:
    return frozenset(one.key for one in line.fish)


def _words_of(ask: Ask | None) -> dict[frozenset[FishAsked], str]:
    return {_key(line): line.words for line in lines_of(ask)} if ask is not None else {}


def _listed(words: Sequence[str], *, lower: bool = True) -> str:
    """Join words as they are said; all but the first begin small."""
    rest = [_lower_first(one) if lower else one for one in words[1:]]
    return and_text([words[0], *rest])


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]
