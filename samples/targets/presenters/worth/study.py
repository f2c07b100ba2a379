"""From counted fish to the survey of the arms that worth is worked out from."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from samples.models import Arm
from samples.science.arguments import Floats
from samples.science.errors import CannotEstimate
from samples.science.worth import (
    CellWorth,
    Survey,
    effective_number,
    fit_prior_weight,
    likeness_of_trips,
    prior_shares,
    survey_of,
    worth_of_cells,
)
from samples.targets.queries.choice import CoverageSelection
from samples.targets.queries.worth import FishBehind, LengthsOfArm
from samples.targets.rules import Ages, LengthBin, LengthSample
from samples.units import HUNDREDTHS_PER_MILLIMETRE

# Fish of a trip, where the lake's own cannot tell yet: common practice, no source.
USUAL_CORRELATION = 0.2
# Fish of other arms in earlier seasons say half as much of an arm as its own earlier fish.
OTHERS_BEFORE = 0.5
# Ages that matter unless somebody says otherwise: those with so much of the lake's fish.
SHARE_THAT_MATTERS = 0.10
# Next to nothing, so that an arm alone in its first season still has some expectation.
TRACE = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Study:
    """What is known of the arms that have a length sample, cell by cell.

    Attributes
    ----------
    arms : list of Arm
    columns : list of LengthBin
    survey : Survey
    worth : CellWorth
    ages : Ages
        Those whose mean length is planned for.
    counts : (arms, bins, ages) int array
        Aged fish.
    in_hand : (arms, bins) int array
        Logged, not read yet.
    of_length : (arms, bins) int array
        Fish of the arm's length sample.
    can_be_had : (arms, bins) int array
        Fish that a cell can supply at most.
    from_new_trip, from_same_trip : (arms, bins) float array
        Independent fish that one more is worth: of a trip of its own, and of the trip that
        brought most of the cell's aged fish.
    correlation : float
        Of ages of fish of one trip, within a cell.
    correlation_known : bool
        Whether the lake's own fish tell it.
    each : float
        Independent fish that a further fish is worth if fish come as they came so far.
    lengths : list of LengthsOfArm
        Of each arm.
    without_lengths : list of Arm
        Arms that nobody measured fish in.
    closed : bool
        Whether the season is over, so that only fish in hand can still be read.
    """

    arms: list[Arm]
    columns: list[LengthBin]
    survey: Survey
    worth: CellWorth
    ages: Ages
    counts: Floats
    in_hand: Floats
    of_length: Floats
    can_be_had: Floats
    from_new_trip: Floats
    from_same_trip: Floats
    correlation: float
    correlation_known: bool
    each: float
    lengths: list[LengthsOfArm]
    without_lengths: list[Arm]
    closed: bool

    def sample(self, arm: int, column: int) -> LengthSample:
        """Return how many were measured in an arm, and how many of at least this length."""
        of_arm = self.of_length[arm]
        return LengthSample(int(of_arm.sum()), int(of_arm[column:].sum()))

    def planned_for(self, ages: Ages) -> "Study":
        """Return the same where mean length matters at other ages."""
        worth = worth_of_cells(self.survey, ages_planned=ages.years)
        return replace(self, worth=worth, ages=ages)


def study_of(arms: Iterable[Arm], selection: CoverageSelection, behind: FishBehind) -> Study:
    """Put together what is known, from fish of one species.

    Mean length matters at the ages with a tenth of the lake's fish.

    :raises CannotEstimate: no_measured_fish, no_fish (no ages at all), one_age
    """
    named = [arm for arm in arms if not arm.whole_lake] or list(arms)
    known = [arm for arm in named if arm.pk in behind.lengths]
    if not known:
        raise CannotEstimate("no_measured_fish", "No length sample yet.")
    if not behind.aged and not behind.aged_before:
        raise CannotEstimate("no_fish", "No fish of this species has an age yet.")
    axes = _Axes(known, behind)
    lengths = [behind.lengths[arm.pk] for arm in known]
    counts = axes.counts((one.arm, one.bin, one.age, one.fish) for one in behind.aged)
    prior = _prior(counts, axes.counts(behind.aged_before))
    correlation, told = _correlation(
        (one.age, f"{one.arm} {one.bin}", one.trip, one.fish) for one in behind.aged
    )
    of_lengths, _ = _correlation(
        (place, str(arm.pk), trip, n)
        for arm, one in zip(known, lengths, strict=True)
        for place, trip, n in one.rows
    )
    trips = axes.trips(behind)
    effective = axes.table({key: effective_number(m, rho=correlation) for key, m in trips.items()})
    cells = counts.reshape(-1, counts.shape[-1])
    of_length = axes.table(
        {(arm.pk, place): n for arm in known for place, n in behind.lengths[arm.pk].by_bin.items()}
    )
    survey = survey_of(
        counts,
        of_length,
        prior,
        mid_lengths=[
            (place + 0.5) * selection.bin_width / HUNDREDTHS_PER_MILLIMETRE for place in axes.places
        ],
        ages=axes.ages,
        prior_weight=fit_prior_weight(cells, prior.reshape(cells.shape)),
        effective=effective,
        measured_effective=[
            effective_number(list(one.by_trip.values()), rho=of_lengths) for one in lengths
        ],
    )
    planned = _usual_ages(survey)
    aged = counts.sum()
    in_hand = axes.table(behind.in_hand)
    return Study(
        arms=known,
        columns=[LengthBin(place, selection.bin_width, selection.unit) for place in axes.places],
        survey=survey,
        worth=worth_of_cells(survey, ages_planned=planned.years),
        ages=planned,
        counts=counts,
        in_hand=in_hand,
        of_length=of_length,
        can_be_had=in_hand if selection.closed else _can_be_had(of_length, in_hand),
        closed=selection.closed,
        from_new_trip=axes.one_more(trips, correlation, same_trip=False),
        from_same_trip=axes.one_more(trips, correlation, same_trip=True),
        correlation=correlation,
        correlation_known=told,
        each=float(effective.sum() / aged) if aged else 1.0,
        lengths=lengths,
        without_lengths=[arm for arm in named if arm.pk not in behind.lengths],
    )


class _Axes:
    """Arms, bins and ages as rows and columns of arrays."""

    def __init__(self, arms: list[Arm], behind: FishBehind) -> None:
        self.row = {arm.pk: place for place, arm in enumerate(arms)}
        bins = {place for arm in self.row for place, _, _ in behind.lengths[arm].rows}
        bins |= {one.bin for one in behind.aged if one.arm in self.row}
        self.places = range(min(bins), max(bins) + 1)
        years = {one.age for one in behind.aged} | {age for _, _, age, _ in behind.aged_before}
        self.ages = range(min(years), max(years) + 1)

    def counts(self, rows: Iterable[tuple[int, int, int, int]]) -> Floats:
        found = np.zeros((len(self.row), len(self.places), len(self.ages)))
        for arm, place, age, n in rows:
            if arm in self.row and place in self.places:
                found[self.row[arm], place - self.places[0], age - self.ages[0]] += n
        return found

    def table(self, cells: dict[tuple[int, int], float] | dict[tuple[int, int], int]) -> Floats:
        found = np.zeros((len(self.row), len(self.places)))
        for (arm, place), n in cells.items():
            if arm in self.row and place in self.places:
                found[self.row[arm], place - self.places[0]] = n
        return found

    def trips(self, behind: FishBehind) -> dict[tuple[int, int], list[int]]:
        """Return the aged fish of each trip, cell by cell."""
        by_trip: dict[tuple[int, int], dict[int, int]] = {}
        for one in behind.aged:
            here = by_trip.setdefault((one.arm, one.bin), {})
            here[one.trip] = here.get(one.trip, 0) + one.fish
        return {key: list(trips.values()) for key, trips in by_trip.items()}

    def one_more(
        self, trips: dict[tuple[int, int], list[int]], rho: float, *, same_trip: bool
    ) -> Floats:
        """Return the independent fish that one more is worth; of a cell without fish, one."""
        found = np.ones((len(self.row), len(self.places)))
        for (arm, place), fish in trips.items():
            if arm not in self.row or place not in self.places:
                continue
            most = sorted(fish)
            more = [*most[:-1], most[-1] + 1] if same_trip else [*most, 1]
            gain = effective_number(more, rho=rho) - effective_number(fish, rho=rho)
            found[self.row[arm], place - self.places[0]] = max(gain, 0.0)
        return found


def _prior(counts: Floats, before: Floats) -> Floats:
    """Return what each arm expects: other arms now, its own fish before, half of others' before."""
    now, then = counts.sum(axis=0), before.sum(axis=0)
    return np.array(
        [
            prior_shares(
                now
                - counts[arm]
                + before[arm]
                + OTHERS_BEFORE * (then - before[arm])
                + TRACE * (counts[arm] + TRACE)
            )
            for arm in range(len(counts))
        ]
    )


def _correlation(rows: Iterable[tuple[int, str, int, int]]) -> tuple[float, bool]:
    """Return how alike fish of a trip are, and whether they tell it themselves.

    :param rows: value, cell, trip and number of fish
    """
    every = [(value, cell, trip) for value, cell, trip, n in rows for _ in range(n)]
    values, cells, trips = zip(*every, strict=True) if every else ((), (), ())
    try:
        found = likeness_of_trips(values, cells, trips)
    except CannotEstimate:
        return USUAL_CORRELATION, False
    return found.correlation, True


def _can_be_had(of_length: Floats, in_hand: Floats) -> Floats:
    """Return how many fish a cell can supply: those in hand, and as many as were measured there.

    Of a length that hardly any fish of the arm comes to, only those in hand.
    """
    rare = np.zeros(of_length.shape, dtype=bool)
    for arm, row in enumerate(of_length):
        for column in range(row.size):
            sample = LengthSample(int(row.sum()), int(row[column:].sum()))
            rare[arm, column] = sample.hardly_reached
    return np.where(rare, in_hand, np.maximum(of_length, in_hand))


def _usual_ages(survey: Survey) -> Ages:
    """Return the ages that hold a tenth of the lake's fish or more, arms alike."""
    p = (survey.length_shares[:, :, None] * survey.shares).sum(axis=1).mean(axis=0)
    common = survey.ages[p >= min(SHARE_THAT_MATTERS, float(p.max()))]
    return Ages(int(common.min()), int(common.max()))
