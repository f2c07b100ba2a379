"""Possible swapped vials of a lake: single ones with their neighbors, and shifted runs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.lab.presenters.vial_contents import VialContents
from samples.science.errors import CannotEstimate
from samples.science.shifted_runs import FALSE_ALARMS, Shift, find_shift
from samples.science.swapped_vials import OtolithModel, fit_otolith_model

Floats = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

# Vials shown on either side, and searched for the one it may have been swapped with.
NEIGHBORS = 2


@dataclass(frozen=True, slots=True)
class JudgedVial:
    """A vial beside what its fish's length says.

    Attributes
    ----------
    ages : (int, int) or None
        Youngest and oldest age that go with the length; None where no age does, or too few fish
        of the species are aged.
    age_fits, radius_fits : bool
    """

    contents: VialContents
    ages: tuple[int, int] | None
    age_fits: bool
    radius_fits: bool

    @property
    def is_odd(self) -> bool:
        return not (self.age_fits and self.radius_fits)

    @property
    def ages_text(self) -> str:
        """Write the ages that go with the length, such as 1-3."""
        if self.ages is None:
            return ""
        first, last = self.ages
        return str(first) if first == last else f"{first}-{last}"


@dataclass(frozen=True, slots=True)
class PossibleSwap:
    """A vial whose otolith does not go with its fish, among its neighbors in order of number.

    ``partner`` is the number of the neighbor with which it would fit, and that with it; or empty.
    """

    vial: JudgedVial
    around: list[JudgedVial]
    partner: str

    @property
    def number(self) -> str:
        return self.vial.contents.number

    @property
    def numbers(self) -> list[str]:
        return [self.number]


@dataclass(frozen=True, slots=True)
class ShiftedRun:
    """Neighboring vials of one trip whose otoliths fit the fish one number later or earlier."""

    shift: Shift
    vials: list[JudgedVial]

    @property
    def numbers(self) -> list[str]:
        return [one.contents.number for one in self.vials]

    @property
    def first(self) -> VialContents:
        return self.vials[0].contents

    @property
    def last(self) -> VialContents:
        return self.vials[-1].contents


@dataclass(frozen=True, slots=True)
class PossibleSwaps:
    """All of a lake.

    Attributes
    ----------
    compared : int
        Aged vials that were compared with the others of their species.
    too_few : tuple of (str, int)
        Species with too few aged fish to compare, and how many those are.
    checked : int
        Odd vials that were checked and are not listed.
    """

    runs: list[ShiftedRun]
    singles: list[PossibleSwap]
    compared: int
    too_few: tuple[tuple[str, int], ...]
    checked: int

    @property
    def count(self) -> int:
        """Return how many there are to look at: a run counts as one."""
        return len(self.runs) + len(self.singles)

    def of(self, number: str) -> PossibleSwap | ShiftedRun | None:
        """Return what there is to look at about one vial."""
        runs = (run for run in self.runs if number in run.numbers)
        return next(runs, next((one for one in self.singles if one.number == number), None))


def find_possible_swaps(vials: Sequence[VialContents]) -> PossibleSwaps:
    """Compare each aged vial with the others of its species, and runs with shifted ones.

    :param vials: in order of season and number
    """
    compared = _compare(vials)
    runs = list(_shifted_runs(compared))
    in_runs = {number for run in runs for number in run.numbers}
    odd = [
        place
        for place in np.flatnonzero(~(compared.age_fits & compared.radius_fits)).tolist()
        if vials[place].number not in in_runs
    ]
    singles = [
        PossibleSwap(
            compared.judged(place),
            [compared.judged(at) for at in _places_around(vials, place)],
            _partner(compared, place),
        )
        for place in odd
        if not vials[place].is_checked
    ]
    models = compared.models
    return PossibleSwaps(
        runs=runs,
        singles=singles,
        compared=sum(one.age_years is not None and one.species_id in models for one in vials),
        too_few=compared.too_few,
        checked=len(odd) - len(singles),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Compared:
    """Vials in order, each beside what the others of its species say."""

    vials: Sequence[VialContents]
    models: dict[int, OtolithModel]
    age_fits: Mask
    radius_fits: Mask
    too_few: tuple[tuple[str, int], ...]

    def judged(self, place: int) -> JudgedVial:
        one = self.vials[place]
        model = self.models.get(one.species_id)
        return JudgedVial(
            one,
            model.ages_of_length(one.length_mm, one.part, one.arm_id) if model else None,
            bool(self.age_fits[place]),
            bool(self.radius_fits[place]),
        )

    def chances(self, pairs: Sequence[tuple[int, int]]) -> Floats:
        """Return log chances of pairs of a vial's otolith and a fish, by their places.

        Not a number where the otolith was not aged, or too few of the fish's species were.
        """
        found = np.full(len(pairs), np.nan)
        for species, model in self.models.items():
            known = [
                place
                for place, (inside, fish) in enumerate(pairs)
                if self.vials[fish].species_id == species
                and self.vials[inside].age_years is not None
            ]
            if not known:
                continue
            inside = [self.vials[pairs[place][0]] for place in known]
            fish = [self.vials[pairs[place][1]] for place in known]
            found[known] = model.log_chance(
                [one.age_years or 0 for one in inside],
                [one.edge_um for one in inside],
                lengths_mm=[one.length_mm for one in fish],
                parts=[one.part for one in fish],
                groups=[one.arm_id for one in fish],
            )
        return found


def _compare(vials: Sequence[VialContents]) -> _Compared:
    """Fit each species that has enough aged fish."""
    models: dict[int, OtolithModel] = {}
    age_fits, radius_fits = np.ones(len(vials), bool), np.ones(len(vials), bool)
    too_few = []
    for pk, name in dict.fromkeys((one.species_id, one.species) for one in vials):
        aged = [
            place
            for place, one in enumerate(vials)
            if one.species_id == pk and one.age_years is not None
        ]
        try:
            model = _fit([vials[place] for place in aged])
        except CannotEstimate:
            too_few.append((name, len(aged)))
            continue
        models[pk] = model
        age_fits[aged], radius_fits[aged] = model.age_fits, model.radius_fits
    return _Compared(vials, models, age_fits, radius_fits, tuple(too_few))


def _fit(aged: list[VialContents]) -> OtolithModel:
    return fit_otolith_model(
        [one.length_mm for one in aged],
        [one.age_years or 0 for one in aged],
        parts=[one.part for one in aged],
        radii_um=[one.edge_um for one in aged],
        groups=[one.arm_id for one in aged],
    )


def _shifted_runs(compared: _Compared) -> Iterator[ShiftedRun]:
    vials = compared.vials
    later, earlier = _gains(compared, 1), _gains(compared, -1)
    for run in _runs(vials):
        shift = find_shift(later[run], earlier[run], false_alarms=FALSE_ALARMS)
        if shift is None:
            continue
        places = run[shift.first : shift.last + 1]
        if not all(vials[at].is_checked for at in places if vials[at].age_years is not None):
            yield ShiftedRun(shift, [compared.judged(at) for at in places])


def _gains(compared: _Compared, by: int) -> Floats:
    """Return how much better each otolith fits the fish that many numbers later on its trip."""
    vials = compared.vials
    places = [at for at in range(len(vials)) if _is_next(vials, at, at + by)]
    moved = compared.chances([(at, at + by) for at in places])
    own = compared.chances([(at, at) for at in places])
    gains = np.zeros(len(vials))
    gains[places] = np.nan_to_num(moved - own)
    return gains


def _is_next(vials: Sequence[VialContents], one: int, other: int) -> bool:
    """Return whether two places hold neighboring numbers that were used on one trip."""
    if not 0 <= other < len(vials):
        return False
    first, second = vials[one], vials[other]
    same = first.party_id == second.party_id and first.season_id == second.season_id
    return same and abs(first.sequence - second.sequence) == 1


def _runs(vials: Sequence[VialContents]) -> Iterator[list[int]]:
    """Return the places of each run of neighboring numbers of one trip."""
    run: list[int] = []
    for place in range(len(vials)):
        if run and not _is_next(vials, place - 1, place):
            yield run
            run = []
        run.append(place)
    if run:
        yield run


def _places_around(vials: Sequence[VialContents], place: int) -> list[int]:
    """Return the places of the neighboring numbers and of the vial itself."""
    here = vials[place]
    return [
        at
        for at in range(max(0, place - NEIGHBORS), min(len(vials), place + NEIGHBORS + 1))
        if vials[at].season_id == here.season_id
        and abs(vials[at].sequence - here.sequence) <= NEIGHBORS
    ]


def _partner(compared: _Compared, place: int) -> str:
    """Return the neighbor with which both otoliths would fit clearly better, if there is one."""
    others = [at for at in _places_around(compared.vials, place) if at != place]
    if not others:
        return ""
    there = compared.chances([(place, at) for at in others])
    back = compared.chances([(at, place) for at in others])
    own = compared.chances([(place, place)]) + compared.chances([(at, at) for at in others])
    gains = np.nan_to_num(there + back - own)
    best = int(np.argmax(gains))
    needed = np.log(len(others) / FALSE_ALARMS)
    return compared.vials[others[best]].number if gains[best] > needed else ""
