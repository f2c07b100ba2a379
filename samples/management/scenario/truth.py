"""What is true of Lake Orrinbeck, so that a finding can be held against it.

Everything here is invented: the lake, its arms and every number. The generator reads this
file and nothing else decides how fish grow, die or are caught. One arm each is heavily
fished (Brindle), slow-growing (Cutbank), hardly fished (Hobbin), short-lived (Sallow) and
ordinary (Tarrow). The verdict of an arm is the one for white crappie at 10.0 in, worked out
from these values; the sample may be too thin to tell it, in Tarrow above all.

The demo's "today" is Monday 19 October 2026: two seasons are finished and the third is
nearly so, with its last vials still on the bench.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

LAKE: Final = "Lake Orrinbeck"
TIME_ZONE: Final = "America/Chicago"
LENGTH_UNIT: Final = "in"
BIN_WIDTH_HUNDREDTHS_MM: Final = 2540
TENTH_INCH_HUNDREDTHS_MM: Final = 254
TODAY: Final = date(2026, 10, 19)
LAST_CATCH_ON: Final = date(2026, 10, 18)

# Month and day. These are the defaults of the growth clock and of the ageing rule.
GROWTH_STARTS: Final = (4, 15)
GROWTH_ENDS: Final = (10, 15)
HATCH: Final = (5, 15)
ANNULUS_WINDOW: Final = ((4, 1), (6, 30))

FIRST_YEAR_CLASS: Final = 2009
STRONG_YEAR_CLASS: Final = 2021
# Recruits of each year class, 2009 to 2026, as a multiple of an ordinary year.
YEAR_CLASS_STRENGTH: Final[tuple[float, ...]] = (
    1.0, 0.9, 1.1, 0.8, 1.2, 1.0, 0.7, 1.1, 0.9, 1.2, 0.8, 0.9, 2.8, 0.8, 1.0, 1.1, 0.9, 1.0,
)  # fmt: skip

GOOD_GROWTH_YEAR: Final = 2025
# A year's growth as a multiple of an ordinary year's; years left out are ordinary.
GROWTH_YEAR_EFFECT: Final[dict[int, float]] = {GOOD_GROWTH_YEAR: 1.30}

# Fish measured from ice or the freezer are a little shorter than they were.
SHRINK: Final[dict[str, float]] = {"fresh": 1.0, "iced": 0.995, "frozen": 0.985}

# A trap net holds half of the fish of this length, and nearly all that are larger.
NET_HALF_HELD_MM: Final = 80.0
NET_HALF_HELD_SPREAD_MM: Final = 5.0
# Fish of the year stay out of the shallows where nets stand.
NET_SHARE_OF_AGE_0: Final = 0.25
# How many standard deviations of "larger or smaller than usual" a party differs by.
PARTY_TILT_SD: Final = 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesTruth:
    """A species as the pick list knows it; lengths outside the range are asked about.

    A fish without annuli that was caught after hatching is of age 0 below ``age_0_below``.
    """

    code: str
    name: str
    short_name: str
    scientific_name: str
    plausible_from_hundredths_mm: int
    plausible_to_hundredths_mm: int
    plausible_max_age_yr: int
    age_0_below_hundredths_mm: int
    spines: tuple[int, int] | None
    parents: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedStock:
    """How one species grows and dies in one arm.

    Mean length is ``linf * (1 - exp(-k * (clock - t0)))`` on the growth clock. A fish keeps
    its own multiple of ``linf`` for life, with coefficient of variation ``length_cv``.
    ``f_per_yr`` acts on fish that anglers keep, ``m_per_yr`` on all.
    """

    species: str
    linf_female_mm: float
    linf_male_mm: float
    k_per_yr: float
    t0_yr: float
    length_cv: float
    m_per_yr: float
    f_per_yr: float
    keep_from_hundredths_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedReach:
    """A part of an arm, from its mouth upward."""

    code: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ArmTruth:
    """One arm: its stocks, what is caught in it, and what a limit would really do.

    ``verdict`` is one of the five words; ``catch_mix`` is the share of each crappie among
    crappies caught, in the order of ``CRAPPIES``.
    """

    name: str
    story: str
    verdict: str
    why: str
    reaches: tuple[SimulatedReach, ...]
    stocks: tuple[SimulatedStock, ...]
    catch_mix: tuple[float, float, float]

    def stock(self, species: str) -> SimulatedStock:
        """Find the stock of a species, by its code."""
        return next(stock for stock in self.stocks if stock.species == species)


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelRunPlan:
    """Labels printed in one go."""

    printed_on: date
    labels: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTruth:
    """A season, the year its numbers carry, its permit and its label runs."""

    year: int
    starts_on: date
    ends_on: date
    permit_number: str
    permit_holder: str
    permit_text: str
    sequence_digits: int
    label_runs: tuple[LabelRunPlan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedRegulation:
    """A rule on keeping fish, from its first day."""

    species: tuple[str, ...]
    in_force_from: date
    daily_limit: int
    minimum_length_hundredths_mm: int | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedTarget:
    """Fish to age in one length bin: in the whole lake, and at least in each arm.

    Of the lake's, nets are to bring so many, and so many are to be of each sex at least.
    """

    season_year: int
    species: str
    from_hundredths_mm: int
    below_hundredths_mm: int
    lake_wide: int
    floors: tuple[tuple[str, int], ...]
    from_nets: int
    of_each_sex: int


WHITE: Final = "white-crappie"
BLACK: Final = "black-crappie"
HYBRID: Final = "hybrid-crappie"
WALLEYE: Final = "walleye"
CRAPPIES: Final = (WHITE, BLACK, HYBRID)

SPECIES: Final[tuple[SpeciesTruth, ...]] = (
    SpeciesTruth(
        code=WHITE,
        name="White crappie",
        short_name="White",
        scientific_name="Pomoxis annularis",
        plausible_from_hundredths_mm=5080,
        plausible_to_hundredths_mm=39370,
        plausible_max_age_yr=11,
        age_0_below_hundredths_mm=21590,
        spines=(5, 6),
        parents=(),
    ),
    SpeciesTruth(
        code=BLACK,
        name="Black crappie",
        short_name="Black",
        scientific_name="Pomoxis nigromaculatus",
        plausible_from_hundredths_mm=5080,
        plausible_to_hundredths_mm=39370,
        plausible_max_age_yr=12,
        age_0_below_hundredths_mm=21590,
        spines=(7, 8),
        parents=(),
    ),
    SpeciesTruth(
        code=HYBRID,
        name="Hybrid crappie",
        short_name="Hybrid",
        scientific_name="Pomoxis annularis x Pomoxis nigromaculatus",
        plausible_from_hundredths_mm=5080,
        plausible_to_hundredths_mm=43180,
        plausible_max_age_yr=11,
        age_0_below_hundredths_mm=21590,
        spines=(5, 8),
        parents=(WHITE, BLACK),
    ),
    SpeciesTruth(
        code=WALLEYE,
        name="Walleye",
        short_name="Walleye",
        scientific_name="Sander vitreus",
        plausible_from_hundredths_mm=10160,
        plausible_to_hundredths_mm=78740,
        plausible_max_age_yr=16,
        age_0_below_hundredths_mm=30480,
        spines=None,
        parents=(),
    ),
)


def species_of(code: str) -> SpeciesTruth:
    """Find a species by its code."""
    return next(species for species in SPECIES if species.code == code)


def _crappie(
    linf: float, k: float, t0: float, *, m: float, f: float, keep_from: int
) -> tuple[SimulatedStock, ...]:
    """Make the three crappies of an arm from its white crappie.

    Black crappie stay a little smaller; hybrids grow faster than either parent.
    """
    against_white = ((WHITE, 1.0, 1.0), (BLACK, 0.95, 1.06), (HYBRID, 1.05, 1.15))
    return tuple(
        SimulatedStock(
            species=code,
            linf_female_mm=round(linf * size, 1),
            linf_male_mm=round(linf * size, 1),
            k_per_yr=round(k * speed, 3),
            t0_yr=t0,
            length_cv=0.085,
            m_per_yr=m,
            f_per_yr=f,
            keep_from_hundredths_mm=keep_from,
        )
        for code, size, speed in against_white
    )


def _walleye(female: float, male: float, k: float, *, m: float, f: float) -> SimulatedStock:
    return SimulatedStock(
        species=WALLEYE,
        linf_female_mm=female,
        linf_male_mm=male,
        k_per_yr=k,
        t0_yr=0.05,
        length_cv=0.075,
        m_per_yr=m,
        f_per_yr=f,
        keep_from_hundredths_mm=38100,
    )


def _reaches(arm: str) -> tuple[SimulatedReach, ...]:
    return (
        SimulatedReach(code="lower", name=f"{arm} mouth"),
        SimulatedReach(code="middle", name=f"Middle {arm}"),
        SimulatedReach(code="upper", name=f"Upper {arm}"),
    )


ARMS: Final[tuple[ArmTruth, ...]] = (
    ArmTruth(
        name="Brindle",
        story="heavily fished",
        verdict="harvest",
        why="Fish pass 10.0 in at 2.5 growing seasons; two of three are taken before.",
        reaches=_reaches("Brindle"),
        stocks=(
            *_crappie(365.0, 0.52, 0.18, m=0.28, f=1.10, keep_from=19050),
            _walleye(690.0, 570.0, 0.27, m=0.25, f=0.45),
        ),
        catch_mix=(0.65, 0.265, 0.085),
    ),
    ArmTruth(
        name="Cutbank",
        story="slow-growing",
        verdict="growth",
        why="Fish level off at 9.6 in; few would ever reach 10.0 in.",
        reaches=_reaches("Cutbank"),
        stocks=(
            *_crappie(244.0, 0.42, 0.05, m=0.36, f=0.18, keep_from=19050),
            _walleye(600.0, 500.0, 0.23, m=0.25, f=0.12),
        ),
        catch_mix=(0.71, 0.23, 0.06),
    ),
    ArmTruth(
        name="Hobbin",
        story="hardly fished",
        verdict="little effect",
        why="Few fish are taken, and anglers already let go what is under 9.8 in.",
        reaches=_reaches("Hobbin"),
        stocks=(
            *_crappie(350.0, 0.42, 0.12, m=0.36, f=0.10, keep_from=24892),
            _walleye(705.0, 580.0, 0.27, m=0.22, f=0.08),
        ),
        catch_mix=(0.61, 0.28, 0.11),
    ),
    ArmTruth(
        name="Sallow",
        story="high natural death",
        verdict="natural death",
        why="Fish need 4.6 growing seasons to reach 10.0 in; one in sixteen lives that long.",
        reaches=_reaches("Sallow"),
        stocks=(
            *_crappie(318.0, 0.36, 0.10, m=0.80, f=0.28, keep_from=20320),
            _walleye(640.0, 535.0, 0.25, m=0.42, f=0.20),
        ),
        catch_mix=(0.67, 0.25, 0.08),
    ),
    ArmTruth(
        name="Tarrow",
        story="ordinary",
        verdict="little effect",
        why="One fish in seven is taken in a year, few of them under 10.0 in.",
        reaches=_reaches("Tarrow"),
        stocks=(
            *_crappie(340.0, 0.42, 0.10, m=0.34, f=0.18, keep_from=23368),
            _walleye(685.0, 565.0, 0.26, m=0.26, f=0.25),
        ),
        catch_mix=(0.62, 0.285, 0.095),
    ),
)


def arm_named(name: str) -> ArmTruth:
    """Find an arm by its name."""
    return next(arm for arm in ARMS if arm.name == name)
