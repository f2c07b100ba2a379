"""What a topic is given: a sample, what was chosen, and how this lake speaks of lengths."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from samples.findings.page_model import Length, LengthBin, Sentence, donor_mark
from samples.findings.queries import FindingsOptions, FindingsSelection, LargeShare, Loaded
from samples.findings.queries.choice import ARMS, GROUP, SEXES
from samples.findings.sample import (
    BY_SIZE,
    KEPT_BY_ANGLERS,
    Floats,
    Ints,
    Mask,
    Sample,
    Texts,
)
from samples.findings.topics.study import SEED, FishGroup, Study, bins_of
from samples.models import Arm, HowChosen, LakeSpecies, Sex
from samples.science.errors import CannotEstimate
from samples.science.size_structure import LENGTHS
from samples.units import HUNDREDTHS_PER_INCH, LengthUnit, to_text

T = TypeVar("T")
# What a page says where not one fish has an age.
NO_AGED_FISH = Sentence("no_aged_fish", "No aged fish in this choice yet.")
MM_PER_INCH = HUNDREDTHS_PER_INCH / 100
SET_APART = (Sex.FEMALE.value, Sex.MALE.value)
# Places of lengths among those of Gabelhouse (1984).
QUALITY, PREFERRED = 1, 2
# Less than any length differs by, more than a float errs by.
HAIR_MM = 1e-6


@dataclass(frozen=True, slots=True)
class TopicQuery:
    """One question to a topic. ``share`` names a donor of more than half of the aged fish;
    ``loaded`` is what was read for it that the sample does not hold."""

    options: FindingsOptions
    choice: FindingsSelection
    sample: Sample
    loaded: Loaded
    share: LargeShare | None = None

    @property
    def unit(self) -> LengthUnit:
        return self.options.unit

    @property
    def species(self) -> str:
        return self.choice.species.species.name

    @property
    def study(self) -> Study:
        """Return what every analysis of this page shares."""
        return Study(
            bin_width_hundredths_mm=self.choice.species.bin_width_hundredths_mm,
            lower_edges=self.lower_edges(),
            first_years={one.pk: one.starts_on.year for one in self.choice.seasons},
        )

    @property
    def rng(self) -> np.random.Generator:
        return np.random.default_rng(SEED)

    @property
    def what(self) -> str:
        """Return what is set side by side, as the head of a column."""
        return {SEXES: "Sex", GROUP: "Species"}.get(self.choice.compare, "Arm")

    def groups(self) -> list[tuple[str, Sample]]:
        """Return the sample of each thing set side by side, by name; empty ones are left out."""
        return [(one.name, one.sample) for one in self.stocks()]

    def tried(self, make: Callable[[str, Sample], T]) -> tuple[list[T], list[Sentence]]:
        """Make something of each group; give also why nothing could be made of the others."""
        found, refused = [], []
        for name, sample in self.groups():
            try:
                found.append(make(name, sample))
            except CannotEstimate as problem:
                refused.append(Sentence(problem.code, problem.sentence).of(name))
        return found, refused

    def stocks(self) -> list[FishGroup]:
        """Return each thing set side by side, with the arm and species it stands for."""
        return [
            FishGroup(
                name,
                self.sample.where(mask),
                arm=arm.pk if arm else None,
                species=species.species_id,
                code=species.species.code,
                preferred_mm=self.preferred_mm(species),
                quality_mm=self._listed_mm(species, QUALITY),
            )
            for name, mask, arm, species in self._apart()
            if mask.any()
        ]

    def _apart(self) -> list[tuple[str, Mask, Arm | None, LakeSpecies]]:
        sample, choice = self.sample, self.choice
        own, only = choice.species, choice.arms[0] if len(choice.arms) == 1 else None
        if choice.compare == ARMS:
            wanted = choice.arms or tuple(self.options.arms)
            return [(arm.name, sample.arm == arm.pk, arm, own) for arm in wanted]
        if choice.compare == SEXES:
            shared = self._shared_sex()
            return [
                (str(sex.label), (sample.sex == sex.value) | (shared == sex.value), only, own)
                for sex in (Sex.FEMALE, Sex.MALE)
            ]
        if choice.compare == GROUP:
            return [
                (one.species.name, sample.species == one.species_id, only, one)
                for one in choice.all_species
            ]
        names = [arm.name for arm in choice.arms]
        everything = np.ones(sample.n, dtype=bool)
        return [(" and ".join(names) if names else "All arms", everything, only, own)]

    def in_unit(self, mm: float) -> float:
        return mm / MM_PER_INCH if self.unit is LengthUnit.INCH else mm

    def length(self, mm: float) -> str:
        """Write a length in the lake's unit, without the unit."""
        return to_text(round(mm * 100), self.unit)

    def with_unit(self, mm: float) -> str:
        return f"{self.length(mm)} {self.unit.value}"

    def length_cell(self, mm: float) -> Length:
        """Return a length for a table, written with its unit."""
        return Length(mm, self.unit, with_unit=True)

    @property
    def unit_name(self) -> str:
        return "inches" if self.unit is LengthUnit.INCH else "mm"

    @property
    def clock_name(self) -> str:
        """Return what growth is counted in, as the head of a column."""
        return "Years" if self.sample.whole_years else "Growing seasons"

    @property
    def bin_mm(self) -> float:
        return self.choice.species.bin_width_hundredths_mm / 100

    def bin_of(self, sample: Sample) -> Ints:
        """Return the place of each fish's length bin, counted from 0 mm, in whole hundredths."""
        return bins_of(sample, self.choice.species.bin_width_hundredths_mm)

    def lower_edges(self) -> Floats:
        """Return lower edges, mm, of bins that hold every fish;
        a hair low, so that they hold it.
        """
        bins = int(self.bin_of(self.sample).max(initial=0)) + 1
        width = self.choice.species.bin_width_hundredths_mm
        return np.maximum(np.arange(bins) * width / 100 - HAIR_MM, HAIR_MM)

    def bin_at(self, edge_mm: float) -> LengthBin:
        """Return the length bin that begins at an edge, or a hair off it."""
        width = self.choice.species.bin_width_hundredths_mm
        return LengthBin(round(edge_mm * 100 / width) * width, width, self.unit)

    def _shared_sex(self) -> Texts:
        """Share measured fish of unknown sex out by the sexes of their length bin: a code or "".

        Aged fish that nobody opened stay out: an age of one sex must be a fish of that sex.
        """
        sample, bins = self.sample, self.bin_of(self.sample)
        rng, shared = self.rng, np.full(self.sample.n, "", dtype=object)
        unknown = (sample.sex == Sex.NOT_KNOWN.value) & ~sample.aged
        known = np.array([one in SET_APART for one in sample.sex], dtype=bool)
        for place in np.unique(bins[unknown]):
            here = np.flatnonzero(unknown & (bins == place))
            of_bin = sample.sex[known & (bins == place)]
            if of_bin.size:
                shared[here] = rng.choice(of_bin, here.size)
        return shared

    def preferred_mm(self, species: LakeSpecies) -> float:
        """Return the preferred length of Gabelhouse (1984);
        two thirds of an unlisted fish's most.
        """
        listed = self._listed_mm(species, PREFERRED)
        if listed is None:
            return species.species_here.plausible_max_hundredths_mm / 150
        return listed

    def _listed_mm(self, species: LakeSpecies, place: int) -> float | None:
        """Return a length of Gabelhouse (1984) in the lake's unit, as mm, if there is one."""
        listed = LENGTHS.get(species.species.code)
        if listed is None:
            return None
        inches = self.unit is LengthUnit.INCH
        return listed.inches[place] * MM_PER_INCH if inches else float(listed.mm[place])

    @property
    def left_out(self) -> list[Sentence]:
        """Return what is not in this page, fish of no sex where sexes are set side by side."""
        if self.choice.compare != SEXES:
            return self.sample.left_out
        shared = int(np.count_nonzero(self._shared_sex() != ""))
        apart = [one not in SET_APART for one in self.sample.sex]
        out = int(np.count_nonzero(apart)) - shared
        told = f"{fish(out)} that are immature, or of unknown sex and of no length with sexed fish."
        said = f"{fish(shared)} of unknown sex were shared out by the sexes of their length."
        return [
            *self.sample.left_out,
            *([Sentence("no_sex", told)] if out else []),
            *([Sentence("sex_shared_out", f"Included: {said}")] if shared else []),
        ]

    def pooled(self) -> list[Sentence]:
        """Warn where arms that may differ are taken together."""
        arms = np.unique(self.sample.arm[self.sample.aged]).size
        if self.choice.compare == ARMS or arms < 2:
            return []
        return [
            Sentence(
                "arms_pooled",
                f"Fish of {arms} arms are taken together. Growth and mortality may differ among "
                "arms: choose one arm, or compare arms side by side.",
            )
        ]

    def cautions(self) -> list[Sentence]:
        """Return how donated fish bend what is shown, and what to do about it."""
        aged = self.sample.where(self.sample.aged)
        said = []
        kept = sum(method in KEPT_BY_ANGLERS for method in aged.method)
        if aged.n and kept * 2 > aged.n:
            words = (
                f"Kept by anglers: {kept:,} of {aged.n:,} aged fish. Anglers keep the larger "
                "ones, so of young ages only the fast growers are here. Add small fish from trap "
                "nets."
            )
            said.append(Sentence("kept_by_anglers", words))
        picked = sum(how in BY_SIZE for how in aged.how_chosen)
        if picked * 4 > aged.n:
            words = (
                f"Picked by size: {picked:,} of {aged.n:,} aged fish. They are not a random sample "
                "of their ages. Measure whole boxes, so that ages can be weighted by length."
            )
            said.append(Sentence("picked_by_size", words))
        unknown = sum(how == HowChosen.NOT_KNOWN for how in aged.how_chosen)
        if unknown * 4 > aged.n:
            words = (
                f"Nobody recorded how {unknown:,} of {aged.n:,} aged fish were chosen. Ask for it "
                "at the start of each trip."
            )
            said.append(Sentence("how_chosen_unknown", words))
        if self.share:
            words = (
                f"{donor_mark(self.share.donor)} donated {self.share.percent:.0f}% of the aged "
                "fish. One boat often fishes one creek: ask other guides too."
            )
            said.append(Sentence("one_donor", words))
        return said


def fish(count: int) -> str:
    return f"{count:,} fish"
