"""What was read for a page, as plain values: fish as arrays, readings side by side.

Whoever analyses them needs neither the database nor Django; ``queries`` fetches them.
"""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import numpy.typing as npt

from samples.findings.page_model import Sentence

NO_AGE = -1
# Codes of methods and of ways to choose fish, as they are stored.
KEPT_BY_ANGLERS = {"angler_kept", "tournament", "creel"}
NETS = {"trap_net", "electrofishing"}
BY_SIZE = {"size_asked", "biggest"}
PICKED = BY_SIZE | {"not_known"}
FEMALE, MALE = "F", "M"
# Methods of reading by their codes; a pair of readings is of two readers, or of two of these.
METHOD_NAMES = {
    "whole": "Whole otoliths",
    "section": "Sections",
    "crack_burn": "Crack and burn",
}
METHODS = frozenset(METHOD_NAMES.values())
Texts = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """Every fish of the choice that was measured, one row each; ages where there are any.

    Attributes
    ----------
    fish, species, arm, season, party, donor : (fish,) int arrays
        Keys of rows; a fish without a donor has -1.
    sex, method, how_chosen, unit, as_measured, vial : (fish,) text arrays
    length_mm : (fish,) float array
    age : (fish,) int array
        Whole years; -1 where there is none.
    structure : (fish,) text array
        What the age was read from; "otolith" unless something else was said.
    as_given : (fish,) bool array
        Ages that came with a spreadsheet: no rule of ours was applied to them.
    agreed : (fish,) bool array
        Ages that readers agreed on, or that were decided.
    year, month : (fish,) int arrays
        Calendar year and month of capture; 0 where the day is not known.
    clock : (fish,) float array
        Growing seasons behind the fish; not a number where age or date is missing. Whole years
        where ``whole_years``.
    weight_g : (fish,) float array
        0 where it was not weighed.
    left_out : list of Sentence
        What is not in it, with counts and reasons.
    whole_years : bool
        Most aged fish have no catch date, so that the clock shows ages of all.
    """

    fish: Ints
    species: Ints
    arm: Ints
    season: Ints
    party: Ints
    donor: Ints
    sex: Texts
    method: Texts
    how_chosen: Texts
    unit: Texts
    as_measured: Texts
    vial: Texts
    length_mm: Floats
    age: Ints
    structure: Texts
    as_given: Mask
    agreed: Mask
    year: Ints
    month: Ints
    clock: Floats
    weight_g: Floats
    left_out: list[Sentence]
    whole_years: bool = False

    @property
    def n(self) -> int:
        return int(self.fish.size)

    @property
    def of_sample(self) -> Mask:
        """Return which fish are a sample of lengths: not those picked for their size."""
        return np.array([how not in BY_SIZE for how in self.how_chosen], dtype=bool)

    @property
    def aged(self) -> Mask:
        mask: Mask = self.age >= 0
        return mask

    def where(self, mask: Mask) -> "Sample":
        """Return the rows of a mask as a sample of their own."""
        own = ("left_out", "whole_years")
        rows = {name: getattr(self, name)[mask] for name in self.__slots__ if name not in own}
        return replace(self, **rows)


@dataclass(frozen=True, slots=True)
class Pair:
    """Ages that two readers, or two methods, gave the same fish.

    ``is_random``: the fish are those that were drawn for a second reading, and no others.
    ``read_on`` is the day on which each fish had been read by both.
    """

    names: tuple[str, str]
    first: list[int]
    second: list[int]
    read_on: list[date]
    is_random: bool = False


@dataclass(frozen=True, slots=True)
class Rings:
    """Fish with measured rings: year class, length and radius at capture, radii of the annuli.

    ``group`` counts arms and species: fish of one group grow alike.
    """

    year_class: list[int]
    length_mm: list[float]
    edge_um: list[int]
    radii_um: list[list[int]]
    group: list[int]


@dataclass(frozen=True, slots=True)
class Margins:
    """Margins of otoliths by month of capture: annuli, month and code, one row a fish.

    ``without`` counts fish that were read without a margin code, ``undated`` those without a day.
    """

    annuli: list[int]
    month: list[int]
    code: list[int]
    without: int
    undated: int


@dataclass(frozen=True, slots=True, eq=False)
class CountedLengths:
    """Fish that were counted into length bins and not measured one by one, one row a bin.

    ``middle_mm`` is the middle of the bin.
    """

    arm: Ints
    method: Texts
    middle_mm: Floats
    fish: Ints


@dataclass(frozen=True, slots=True, eq=False)
class NetSets:
    """Net sets with an effort, one row each; what they caught of a species, in rows of its own.

    Attributes
    ----------
    arm, season, year, month : (sets,) int arrays
    method : (sets,) text array
    mesh_mm : (sets,) int array
        0 where it is not known.
    nights : (sets,) int array
    unmeasured : (sets,) int array
        Fish that were counted and not measured.
    set_of, length_mm, fish : (rows,) arrays
        The set, the length (of a count, the middle of its bin) and the number of fish.
    not_whole : int
        Sets of which only some fish were written down: they are in no array.
    """

    arm: Ints
    season: Ints
    year: Ints
    month: Ints
    method: Texts
    mesh_mm: Ints
    nights: Ints
    unmeasured: Ints
    set_of: Ints
    length_mm: Floats
    fish: Ints
    not_whole: int = 0

    @property
    def n(self) -> int:
        return int(self.arm.size)

    @property
    def catch(self) -> Floats:
        """Return the fish of each set, measured or not."""
        caught = np.bincount(self.set_of, weights=self.fish, minlength=self.n)
        return np.asarray(self.unmeasured + caught, dtype=np.float64)

    def by_bin(self, edges_hundredths_mm: list[int], width_hundredths_mm: int) -> Ints:
        """Return the fish of each set in the length bins that begin at these edges."""
        bins = np.rint(self.length_mm * 100).astype(np.int64) // width_hundredths_mm
        found = np.zeros((self.n, len(edges_hundredths_mm)), dtype=np.int64)
        for place, edge in enumerate(edges_hundredths_mm):
            here = bins == edge // width_hundredths_mm
            found[:, place] = np.bincount(
                self.set_of[here], weights=self.fish[here], minlength=self.n
            )
        return found

    def where(self, mask: Mask) -> "NetSets":
        """Return the sets of a mask with their catch."""
        place = np.cumsum(mask) - 1
        rows = mask[self.set_of]
        of_sets = ("arm", "season", "year", "month", "method", "mesh_mm", "nights", "unmeasured")
        return replace(
            self,
            **{name: getattr(self, name)[mask] for name in of_sets},
            set_of=place[self.set_of[rows]],
            length_mm=self.length_mm[rows],
            fish=self.fish[rows],
        )
