"""The sampling programme of the lake: seasons, rules, people, who fishes where, what is wanted.

Nobody here exists. The uneven effort is meant: R. Ostrow gives most of what comes from
Hobbin, and Tarrow and Cutbank are visited too seldom for their large fish.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from samples.management.scenario.truth import (
    ARMS,
    BIN_WIDTH_HUNDREDTHS_MM,
    BLACK,
    CRAPPIES,
    HYBRID,
    WALLEYE,
    WHITE,
    LabelRunPlan,
    SeasonTruth,
    SimulatedRegulation,
    SimulatedTarget,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody of the programme; a donor without an account only gives fish."""

    key: str
    name: str
    role: str
    has_account: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class DonorEffort:
    """How often a donor goes out in each season, and where to.

    ``arms`` holds weights in the order of ``ARMS``; ``walleye_share`` is the share of trips
    that go for walleye. ``logged_by`` is the donor, or the clerk for who has no account.
    """

    donor: str
    logged_by: str
    trips: tuple[int, int, int]
    arms: tuple[float, float, float, float, float]
    walleye_share: float


def _season(year: int, permit: str, *runs: tuple[int, int, int]) -> SeasonTruth:
    return SeasonTruth(
        year=year,
        starts_on=date(year, 2, 15),
        ends_on=date(year, 11, 15),
        permit_number=permit,
        permit_holder="Nell Aubrey",
        permit_text=(
            "Up to 3,000 crappie and 400 walleye from Lake Orrinbeck by trap net and from "
            f"anglers, {year}. Carcasses go back to the angler or to the fishery office."
        ),
        sequence_digits=4,
        label_runs=tuple(
            LabelRunPlan(printed_on=date(year, month, day), labels=labels)
            for month, day, labels in runs
        ),
    )


SEASONS: Final[tuple[SeasonTruth, ...]] = (
    _season(2024, "OB-24-031", (1, 15, 510), (5, 6, 340)),
    _season(2025, "OB-25-018", (1, 13, 680), (5, 5, 340)),
    _season(2026, "OB-26-022", (1, 12, 600), (5, 4, 340)),
)

REGULATIONS: Final[tuple[SimulatedRegulation, ...]] = (
    SimulatedRegulation(
        species=CRAPPIES,
        in_force_from=date(2018, 1, 1),
        daily_limit=30,
        minimum_length_hundredths_mm=None,
        text="30 crappie a day, all kinds together. No minimum length.",
    ),
    SimulatedRegulation(
        species=(WALLEYE,),
        in_force_from=date(2018, 1, 1),
        daily_limit=5,
        minimum_length_hundredths_mm=38100,
        text="5 walleye a day, 15.0 in or longer.",
    ),
)

BIOLOGIST: Final = "aubrey"
OFFICE: Final = "pell"
SECOND_READER: Final = "vesk"
CLERKS: Final = ("quenby", "lorrick")
NET_CREW: Final = "thornage"

PEOPLE: Final[tuple[Person, ...]] = (
    Person(key=BIOLOGIST, name="Nell Aubrey", role="biologist"),
    Person(key=OFFICE, name="June Pell", role="office"),
    Person(key=SECOND_READER, name="T. Vesk", role="reader"),
    Person(key=CLERKS[0], name="A. Quenby", role="clerk"),
    Person(key=CLERKS[1], name="M. Lorrick", role="clerk"),
    Person(key=NET_CREW, name="E. Thornage", role="clerk"),
    Person(key="ostrow", name="R. Ostrow", role="guide"),
    Person(key="marrable", name="D. Marrable", role="guide"),
    Person(key="talvik", name="I. Talvik", role="guide"),
    Person(key="cottrane", name="W. Cottrane", role="guide"),
    Person(key="ildery", name="B. Ildery", role="guide"),
    Person(key="penhallick", name="O. Penhallick", role="guide"),
    Person(key="wendle", name="C. Wendle", role="donor", has_account=False),
    Person(key="brackway", name="L. Brackway", role="donor", has_account=False),
    Person(key="ommer", name="H. Ommer", role="donor", has_account=False),
)

# Arms in the order of ARMS: Brindle, Cutbank, Hobbin, Sallow, Tarrow.
EFFORT: Final[tuple[DonorEffort, ...]] = tuple(
    DonorEffort(donor=donor, logged_by=logged_by, trips=trips, arms=arms, walleye_share=walleye)
    for donor, logged_by, trips, arms, walleye in (
        ("ostrow", "ostrow", (12, 18, 16), (0.00, 0.00, 0.88, 0.00, 0.12), 0.10),
        ("marrable", "marrable", (10, 14, 11), (0.75, 0.00, 0.00, 0.00, 0.25), 0.08),
        ("talvik", "talvik", (10, 12, 11), (0.55, 0.00, 0.00, 0.45, 0.00), 0.08),
        ("cottrane", "cottrane", (0, 9, 8), (0.00, 0.60, 0.00, 0.40, 0.00), 0.05),
        ("ildery", "ildery", (8, 9, 7), (0.30, 0.00, 0.15, 0.55, 0.00), 0.10),
        ("penhallick", "penhallick", (6, 8, 6), (0.30, 0.05, 0.35, 0.10, 0.20), 0.85),
        ("wendle", "quenby", (5, 5, 4), (0.50, 0.50, 0.00, 0.00, 0.00), 0.10),
        ("brackway", "quenby", (5, 4, 4), (0.00, 0.70, 0.00, 0.30, 0.00), 0.10),
        ("ommer", "lorrick", (4, 4, 3), (0.00, 0.00, 0.20, 0.00, 0.80), 0.20),
    )
)

# Creel interviews a season, and their arms in the order of ARMS.
CREEL_INTERVIEWS: Final = (125, 140, 125)
CREEL_ARMS: Final = (0.36, 0.14, 0.16, 0.19, 0.15)
CREEL_WALLEYE_SHARE: Final = 0.10

# Net sets a season in each arm, in the order of ARMS: in spring, and in autumn.
NETS_IN_SPRING: Final = (3, 2, 3, 3, 2)
NETS_IN_AUTUMN: Final = (2, 2, 2, 2, 2)


def _floors(arms: str, wanted: int) -> tuple[tuple[str, int], ...]:
    """Return the same floor for each arm, named by its first letter."""
    return tuple((arm.name, wanted) for arm in ARMS if arm.name[0] in arms)


# Lower edge of the bin in inches, lake-wide target, floor per arm, arms that have a floor.
_WHITE_WANTED: Final = (
    (5, 15, 3, "BCHST"), (6, 25, 5, "BCHST"), (7, 25, 5, "BCHST"), (8, 25, 5, "BCHST"),
    (9, 25, 5, "BCHST"), (10, 25, 5, "BCHST"), (11, 25, 5, "BCHST"), (12, 25, 5, "BCHST"),
    (13, 12, 3, "BHST"), (14, 6, 2, "BHT"),
)  # fmt: skip
_BLACK_WANTED: Final = (
    *((inch, 10, 2, "BCHST") for inch in range(5, 12)),
    (12, 8, 2, "BHT"),
    (13, 4, 1, "BH"),
)
_HYBRID_WANTED: Final = tuple((inch, 5, 0, "") for inch in range(6, 15))
_WALLEYE_WANTED: Final = tuple((inch, 10, 0, "") for inch in range(14, 24))

# Anglers hardly bring the small ones; female walleye outgrow the males.
_FROM_NETS: Final = {(HYBRID, 6): 3, (HYBRID, 7): 3}
_OF_EACH_SEX: Final = {(WALLEYE, inch): 3 for inch in range(16, 20)}

_WANTED: Final = (
    (WHITE, _WHITE_WANTED),
    (BLACK, _BLACK_WANTED),
    (HYBRID, _HYBRID_WANTED),
    (WALLEYE, _WALLEYE_WANTED),
)

TARGETS: Final[tuple[SimulatedTarget, ...]] = tuple(
    SimulatedTarget(
        season_year=season.year,
        species=species,
        from_hundredths_mm=inch * BIN_WIDTH_HUNDREDTHS_MM,
        below_hundredths_mm=(inch + 1) * BIN_WIDTH_HUNDREDTHS_MM,
        lake_wide=lake_wide,
        floors=_floors(arms, floor),
        from_nets=_FROM_NETS.get((species, inch), 0),
        of_each_sex=_OF_EACH_SEX.get((species, inch), 0),
    )
    for season in SEASONS
    for species, wanted in _WANTED
    for inch, lake_wide, floor, arms in wanted
)


def season_of(year: int) -> SeasonTruth:
    """Find a season by the year that its numbers carry."""
    return next(season for season in SEASONS if season.year == year)


def first_number_of_run(season: SeasonTruth, run: int) -> int:
    """Return the first sequence of a label run, counted from 0."""
    return 1 + sum(plan.labels for plan in season.label_runs[:run])
