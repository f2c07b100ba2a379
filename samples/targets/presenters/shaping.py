"""From counted rows and targets to the coverage that is drawn."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.urls import reverse

from samples.models import Arm, Donor, Fish, Progress, Season
from samples.targets.geometry import rings
from samples.targets.presenters.coverage import (
    ArmRow,
    Cell,
    Coverage,
    DonorShare,
    StillNeeded,
    Sum,
)
from samples.targets.queries.choice import OWN_BINS, CoverageOptions, CoverageSelection
from samples.targets.queries.counts import (
    FROM,
    PartTallies,
    Tally,
    count_parts,
    count_rows,
    count_rows_by_species,
    largest_donor,
    tallies,
)
from samples.targets.queries.set_targets import (
    PartsByBin,
    SetTarget,
    WantedByBin,
    parts_in_bins,
    sum_in_bins,
    targets_of_season,
)
from samples.targets.rules import (
    FEWEST_FOR_A_SHARE,
    NO_FISH,
    NO_PARTS,
    BinNeed,
    Count,
    FishByPart,
    LengthBin,
    LengthSample,
    Need,
    NeedByPart,
)

# Wider than this, empty bins between those that hold something are left out.
MOST_COLUMNS_WITH_GAPS = 20
NOTHING = Tally([0] * len(Progress), {})


def coverage_of(
    fish: QuerySet[Fish],
    options: CoverageOptions,
    selection: CoverageSelection,
    *,
    donors_named: bool,
) -> Coverage:
    """Count a person's fish of a choice and hold them against the targets."""
    counted = tallies(count_rows(fish, selection), FROM[selection.count])
    # Targets are for all fish of a bin: those of one sex, method or reach are counted alone.
    found = {} if selection.narrowed else targets_of_season(selection.season, selection.species)
    targets = found.get(selection.species.pk, [])
    names = _donor_names(counted) if donors_named else {}
    return _held_against(fish, options.arms, selection, counted, targets, names)


def coverages_of_season(
    fish: QuerySet[Fish], options: CoverageOptions, season: Season
) -> list[tuple[Coverage, WantedByBin]]:
    """Count each species that has targets, in as many statements as one; with what is wanted.

    Donors are not named.
    """
    targets = targets_of_season(season)
    selections = [
        CoverageSelection(
            lake=options.lake,
            season=season,
            species=one.species,
            bin_width=one.bin_width_hundredths_mm,
            closed=season.ends_on < options.today,
        )
        for one in options.lake_species
        if one.species_id in targets
    ]
    if not selections:
        return []
    rows = count_rows_by_species(fish, selections)
    by_part = [one for one in selections if any(t.has_parts for t in targets[one.species.pk])]
    parts = count_parts(fish, by_part) if by_part else {}
    counted = []
    for one in selections:
        here = targets[one.species.pk]
        tally = tallies(rows[one.species.pk], FROM[one.count])
        wanted, other_bins = sum_in_bins([t.row for t in here], one.bin_width)
        by_bin = PartsOfTargets(parts_in_bins(here, one.bin_width), parts.get(one.species.pk, {}))
        shaped = shape(options.arms, one, tally, wanted, {}, other_bins=other_bins, parts=by_bin)
        counted.append((shaped, wanted))
    return counted


def _held_against(
    fish: QuerySet[Fish],
    arms: list[Arm],
    selection: CoverageSelection,
    counted: Mapping[tuple[int, int], Tally],
    targets: list[SetTarget],
    donor_names: Mapping[int, str],
) -> Coverage:
    wanted, other_bins = sum_in_bins([one.row for one in targets], selection.bin_width)
    set_parts = parts_in_bins(targets, selection.bin_width)
    counted_parts = count_parts(fish, [selection])[selection.species.pk] if set_parts else {}
    parts = PartsOfTargets(set_parts, counted_parts)
    return shape(arms, selection, counted, wanted, donor_names, other_bins=other_bins, parts=parts)


@dataclass(frozen=True, slots=True)
class PartsOfTargets:
    """What nets and each sex are to bring, by arm and bin, and the fish that they brought."""

    wanted: PartsByBin = field(default_factory=dict)
    counted: PartTallies = field(default_factory=dict)

    def need(self, arm: int | None, place: int) -> NeedByPart:
        """Return what one target owes by source and sex; of the lake, fish of any arm count."""
        wanted = self.wanted.get((arm, place))
        if wanted is None:
            return NO_PARTS
        here = [
            one
            for (of, at), one in self.counted.items()
            if at == place and (arm is None or of == arm)
        ]
        counted = sum((one.counted for one in here), NO_FISH)
        waiting = sum((one.waiting for one in here), NO_FISH)
        return NeedByPart(wanted, counted, waiting)

    def counted_in(self, place: int) -> FishByPart:
        """Return the fish of a bin from every arm that count."""
        here = [one.counted for (_, at), one in self.counted.items() if at == place]
        return sum(here, NO_FISH)


def _donor_names(counted: Mapping[tuple[int, int], Tally]) -> dict[int, str]:
    """Look up by name those who gave most of some cell."""
    top = {largest_donor(tally.by_donor)[0] for tally in counted.values()}
    found = Donor.objects.filter(pk__in=top - {None}).values_list("pk", "name")
    return {pk: name for pk, name in found if name}


def shape(
    arms: list[Arm],
    selection: CoverageSelection,
    counted: Mapping[tuple[int, int], Tally],
    wanted: WantedByBin,
    donor_names: Mapping[int, str],
    *,
    other_bins: bool = False,
    parts: PartsOfTargets | None = None,
) -> Coverage:
    """Lay the tallies and the targets out as rows, columns, sums and a wanted list.

    A bin where fish were measured and none was logged or wanted has no column.
    """
    logged = {key for key, tally in counted.items() if tally.at_least(Progress.LOGGED)}
    columns = [
        LengthBin(place, selection.bin_width, selection.unit)
        for place in _places({place for _, place in [*logged, *wanted]})
    ]
    used = {arm for arm, _ in [*logged, *wanted]}
    layout = Layout(selection, columns, counted, wanted, donor_names, parts or PartsOfTargets())
    rows = [layout.row(arm) for arm in arms if arm.pk in used or not arm.whole_lake]
    in_bin: dict[int, list[Tally]] = {column.place: [] for column in columns}
    for (_, place), tally in counted.items():
        in_bin.setdefault(place, []).append(tally)
    sums = [layout.all_arms(column.place, in_bin[column.place]) for column in columns]
    bins = [
        BinNeed(
            one.need or Need(0, one.counted, 0),
            tuple(row.cells[i].need or Need(0, 0, 0) for row in rows),
        )
        for i, one in enumerate(sums)
    ]
    asks = [] if selection.closed else _still_needed(rows, columns, bins, counted)
    return Coverage(
        selection=selection,
        columns=columns,
        rows=rows,
        all_arms=sums,
        bins=bins,
        total=Sum(sum(one.counted for one in sums), _added([one.need for one in sums])),
        still_needed=[one for one in asks if not one.sample.hardly_reached],
        hardly_reached=[one for one in asks if one.sample.hardly_reached],
        tally=_together(counted.values()),
        has_targets=bool(wanted),
        other_bins=other_bins,
        most_wanted=layout.most_wanted,
        part_tallies=[layout.parts.counted_in(column.place) for column in columns],
    )


def _places(found: set[int]) -> list[int]:
    if not found:
        return []
    run = range(min(found), max(found) + 1)
    return list(run) if len(run) <= MOST_COLUMNS_WITH_GAPS else sorted(found)


class Layout:
    """What every row and cell of one page is laid out from."""

    def __init__(
        self,
        selection: CoverageSelection,
        columns: list[LengthBin],
        counted: Mapping[tuple[int, int], Tally],
        wanted: WantedByBin,
        donor_names: Mapping[int, str],
        parts: PartsOfTargets,
    ) -> None:
        self.choice, self.columns = selection, columns
        self.counted, self.wanted, self.donor_names = counted, wanted, donor_names
        self.parts = parts
        self.level = FROM[selection.count]
        floors = [n for (arm, _), n in wanted.items() if arm is not None]
        self.most_wanted = max(floors, default=0)
        self.address = _address_base(selection, selection.count)
        self.address_of_logged = _address_base(selection, Count.LOGGED)
        # Worked out once for each column, not for each cell.
        self.lengths = [f"&from={one.from_text}&below={one.below_text}" for one in columns]

    def row(self, arm: Arm) -> ArmRow:
        pk, name = arm.pk, arm.name
        cells = [
            self.cell(pk, name, column, lengths)
            for column, lengths in zip(self.columns, self.lengths, strict=True)
        ]
        n = sum(cell.counted for cell in cells)
        by_donor: Counter[int | None] = Counter()
        for cell in cells:
            by_donor.update(cell.tally.by_donor)
        total = Sum(n, _added([cell.need for cell in cells]))
        return ArmRow(arm, cells, total, self.share(n, by_donor))

    def cell(self, arm: int, name: str, column: LengthBin, lengths: str) -> Cell:
        key = (arm, column.place)
        tally = self.counted.get(key, NOTHING)
        n = tally.at_least(self.level)
        # Where none counts yet, the list is of those that are logged.
        address = f"{self.address if n else self.address_of_logged}&arm={arm}{lengths}"
        floor = self.wanted.get(key)
        share = self.share(n, tally.by_donor)
        count = self.choice.count
        if floor is None:
            return Cell(arm, name, column, tally, n, None, (), share, address, count)
        need = Need(floor, n, tally.waiting(self.level), self.parts.need(*key))
        stone = rings(floor, n, need.in_hand, self.most_wanted)
        return Cell(arm, name, column, tally, n, need, stone, share, address, count)

    def all_arms(self, place: int, here: list[Tally]) -> Sum:
        n = sum(tally.at_least(self.level) for tally in here)
        target = self.wanted.get((None, place))
        if target is None:
            return Sum(n, None)
        waiting = sum(tally.waiting(self.level) for tally in here)
        return Sum(n, Need(target, n, waiting, self.parts.need(None, place)))

    def share(self, n: int, by_donor: Mapping[int | None, int]) -> DonorShare | None:
        """Name the donor of more than half of n counted fish, if there is one."""
        if n < FEWEST_FOR_A_SHARE:
            return None
        donor, given = largest_donor(by_donor)
        if donor is None or 2 * given <= n:
            return None
        return DonorShare(self.donor_names.get(donor, "one donor"), given, n)


def _address_base(selection: CoverageSelection, count: Count) -> str:
    """Return the list of fish that counts as `count`; it leads back to the page it came from."""
    words = {
        "season": selection.season.name,
        "species": selection.species.code,
        "count": count,
        "coverage": selection.count if selection.count != count else "",
        "sex": selection.sex,
        "method": selection.method,
        "reach": selection.reach,
        "bin": selection.bins if selection.bins != OWN_BINS else "",
    }
    query = urlencode({name: value for name, value in words.items() if value})
    return f"{reverse('targets:fish', args=[selection.lake.slug])}?{query}"


def _added(needs: list[Need | None]) -> Need | None:
    """Add up needs: a fish too many in one bin fills no other, so only what is met counts."""
    given = [need for need in needs if need is not None]
    if not given:
        return None
    return Need(
        sum(need.wanted for need in given),
        sum(need.met for need in given),
        sum(need.in_hand for need in given),
    )


def _together(found: Iterable[Tally]) -> Tally:
    """Add tallies up, without asking whose fish they are."""
    counts = [tally.by_progress for tally in found]
    return Tally(list(map(sum, zip(*counts, strict=True))), {}) if counts else NOTHING


def _still_needed(
    rows: list[ArmRow],
    columns: list[LengthBin],
    bins: list[BinNeed],
    counted: Mapping[tuple[int, int], Tally],
) -> list[StillNeeded]:
    """List what is to be caught, most first; of two alike, the one with fewer fish counts more."""
    measured = _measured_by_arm(counted)
    found = [
        StillNeeded(
            row.arm.name,
            cell.column.name,
            cell.need,
            more,
            sample,
            here.get(cell.column.place, 0),
            bins[i].nets_owe_of_floors[at],
        )
        for at, row in enumerate(rows)
        for i, cell in enumerate(row.cells)
        if cell.need and (more := cell.need.to_collect)
        for here in [measured.get(row.arm.pk, Counter())]
        for sample in [_from_bin_up(here, cell.column.place)]
    ]
    anywhere: Mapping[int, int] = measured.get(None, {})
    found += [
        StillNeeded(
            "Any arm",
            column.name,
            one.lake_wide,
            more,
            _from_bin_up(anywhere, column.place),
            anywhere.get(column.place, 0),
            one.nets_owe_in_any_arm,
        )
        for column, one in zip(columns, bins, strict=True)
        if (more := one.to_collect_in_any_arm) > 0
    ]
    return sorted(found, key=lambda ask: (-ask.more, ask.need.counted))


def _measured_by_arm(
    counted: Mapping[tuple[int, int], Tally],
) -> dict[int | None, Counter[int]]:
    """Count measured fish by bin, for each arm and (under None) for all of them."""
    found: dict[int | None, Counter[int]] = {}
    for (arm, place), tally in counted.items():
        for key in (arm, None):
            found.setdefault(key, Counter())[place] += tally.measured
    return found


def _from_bin_up(by_bin: Mapping[int, int], place: int) -> LengthSample:
    longer = sum(n for of, n in by_bin.items() if of >= place)
    return LengthSample(sum(by_bin.values()), longer)
