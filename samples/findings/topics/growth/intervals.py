"""How often the intervals of growth hold the truth, on simulated lakes, and where they do not."""

from collections.abc import Sequence

from samples.findings.page_model import Column, Sentence, Table
from samples.findings.topics.held import held_table

# As `manage.py benchmark calibrate-growth` found on November 30, 2026, with 200 lakes a case:
# share of the 95% intervals of length at ages 2 to 5 that held the truth, and their half-width, mm.
FOUND = {
    "1 season, year sd 0": (1.0, 17.9),
    "3 seasons, year sd 0": (0.999, 5.7),
    "5 seasons, year sd 0": (0.999, 3.4),
    "1 season, year sd 0.1": (0.995, 18.6),
    "3 seasons, year sd 0.1": (0.969, 10.8),
    "5 seasons, year sd 0.1": (0.941, 8.7),
    "1 season, year sd 0.15": (0.964, 19.3),
    "3 seasons, year sd 0.15": (0.955, 13.8),
    "5 seasons, year sd 0.15": (0.929, 11.6),
    "1 season, year sd 0.2": (0.912, 20.2),
    "3 seasons, year sd 0.2": (0.927, 16.4),
    "5 seasons, year sd 0.2": (0.914, 14.2),
    "1 season, year sd 0.25": (0.866, 21.0),
    "3 seasons, year sd 0.25": (0.909, 18.7),
    "5 seasons, year sd 0.25": (0.91, 16.5),
    "1 season, year sd 0.3": (0.807, 21.9),
    "3 seasons, year sd 0.3": (0.89, 20.9),
    "5 seasons, year sd 0.3": (0.889, 18.6),
    "good and poor years follow one another (AR 0.4)": (0.812, 12.9),
    "the hatching year sets Linf instead": (0.983, 17.5),
    "trips not alike": (0.953, 13.7),
    "fish of a trip alike (0.3)": (0.951, 14.0),
    "10 aged of each inch": (0.959, 14.6),
    "growth by Gompertz": (0.919, 16.3),
    "kept by anglers from 200 mm": (0.927, 14.5),
    "ages misread (CV 6%)": (0.943, 13.8),
    "ages misread (CV 11%)": (0.925, 13.4),
    "harvested from 200 mm at F 0.5": (0.926, 14.7),
    "harvested from 200 mm at F 1": (0.841, 16.0),
    "harvested from 200 mm at F 1, M or tags entered": (0.968, 17.5),
    "three arms that grow apart": (0.933, 12.8),
    "three arms of 40 fish": (0.947, 14.9),
}
WIDE_SD = 0.25
# Mean error of the same lengths where fish over 200 mm die at F 1 of harvest.
HARVEST_SHORT_MM = 5.7


def too_narrow(seasons: int, year_sd: float) -> list[Sentence]:
    """Return where simulations found the intervals too narrow, if these fish are such a case."""
    if seasons == 1:
        ends = [FOUND[f"1 season, year sd {sd}"][0] for sd in ("0.25", "0.3")]
        return [
            Sentence(
                "one_season_narrow",
                "One season cannot show how much growth years differ. In simulated lakes where "
                f"they differed by an sd of 0.25 to 0.3, {_percent(min(ends))} to "
                f"{_percent(max(ends))} of these 95% intervals held the truth.",
            )
        ]
    if year_sd < WIDE_SD:
        return []
    nearest = "5 seasons" if seasons >= 5 else "3 seasons"
    ends = [FOUND[f"{nearest}, year sd {sd}"][0] for sd in ("0.25", "0.3")]
    return [
        Sentence(
            "years_differ_widely",
            f"Growth years differ widely here (sd {year_sd:.2f}), and the intervals are somewhat "
            f"too narrow: in simulated lakes like this {_percent(min(ends))} to "
            f"{_percent(max(ends))} of the 95% intervals held the truth.",
        )
    ]


def harvest_text() -> Sentence:
    """Return what harvest does to growth, where anglers take the fast growers first."""
    half, whole = (FOUND[f"harvested from 200 mm at F {rate}"][0] for rate in ("0.5", "1"))
    return Sentence(
        "harvest_bends",
        "Anglers take the fast growers first, so the fish that are left show growth too slow. In "
        f"simulated lakes with F 1 the lengths were {HARVEST_SHORT_MM:.0f} mm too short at ages 2 "
        f"to 5, and {_percent(whole)} of the 95% intervals held the truth; with F 0.5, "
        f"{_percent(half)}. Enter natural mortality, or tags and their returns, and the fish that "
        "anglers took are counted in.",
    )


def counted_in_text(fishing: list[tuple[str, float]]) -> Sentence:
    """Return how the fish that anglers took are counted in: names of groups, and F."""
    held, _ = FOUND["harvested from 200 mm at F 1, M or tags entered"]
    every = ", ".join(f"{f:.2f} ({name})" for name, f in fishing)
    return Sentence(
        "taken_counted_in",
        "Anglers take the fast growers first, so the fish that are left are the slower ones. The "
        f"curve counts in those taken, at F {every}, by tags or by Z - M (Taylor, Walters & "
        f"Martell 2005). In simulated lakes with F 1, {_percent(held)} of the 95% intervals held "
        "the truth.",
    )


def calibration() -> Table:
    """Return what `manage.py benchmark calibrate-growth` found."""
    return held_table(
        FOUND,
        name="intervals-held",
        of="these intervals",
        what="Length at age",
        half_width=Column("Half-width, mm", "Half-width", "mm"),
        decimals=0,
        note="200 lakes a case, length at ages 2 to 5; unless said, 3 seasons and growth years "
        "that differ by an sd of 0.15. Where good and poor years follow one another the intervals "
        "are too narrow, and a few seasons cannot show it. Harvest at a high rate bends the curve.",
    )


# The same of how much longer fish of one group are than those of another, with 150 lakes a case.
DIFFERENCES_FOUND = {
    "3 arms, 1 season": (0.979, 7.0),
    "3 arms, 3 seasons": (0.945, 3.9),
    "3 arms, 5 seasons": (0.953, 3.0),
    "3 arms that grow alike": (0.942, 3.4),
    "3 arms that grow far apart": (0.945, 5.1),
    "3 arms, year sd 0.3": (0.933, 4.2),
    "3 arms, years follow one another (AR 0.4)": (0.931, 3.9),
    "3 arms, the hatching year sets Linf": (0.983, 6.3),
    "3 arms, fish of a trip alike (0.3)": (0.935, 4.8),
    "3 arms, 10 aged of each inch": (0.986, 5.9),
    "3 arms of 40 fish": (0.948, 7.9),
    "3 arms, kept by anglers from 200 mm": (0.959, 5.3),
    "3 arms, ages misread (CV 11%)": (0.979, 4.1),
    "3 arms, harvested from 200 mm at F 1": (0.968, 6.0),
    "2 sexes of the same trips, alike (0.3)": (0.96, 3.1),
}


def differences_calibration(grown: Sequence[object]) -> list[Table]:
    """Return what `manage.py benchmark calibrate-growth` found of differences, if any are shown."""
    if len(grown) < 2:
        return []
    return [
        held_table(
            DIFFERENCES_FOUND,
            name="differences-held",
            of="the intervals of a difference",
            what="Difference",
            half_width=Column("Half-width, mm", "Half-width", "mm"),
            decimals=1,
            note="150 lakes a case, length at ages 2 to 5 of each group against the first; unless "
            "said, 3 seasons and K a tenth larger from one arm to the next.",
        )
    ]


def _percent(share: float) -> str:
    return f"{100 * share:.0f}%"
