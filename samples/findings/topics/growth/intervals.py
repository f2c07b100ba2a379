"""How often the intervals of growth hold the truth, on simulated lakes, and where they do not."""

from samples.findings.page_model import Column, Count, Number, Share, Table, Text

# As `manage.py benchmark calibrate-growth` found on November 30, 2026, with 500 lakes a case:
# share of the 95% intervals of length at ages 2 to 5 that held the truth, and their half-width, mm.
FOUND = {
    "1 season, year sd 0": (1.0, 18.0),
    "3 seasons, year sd 0": (0.998, 5.6),
    "5 seasons, year sd 0": (0.995, 3.3),
    "1 season, year sd 0.1": (0.997, 18.6),
    "3 seasons, year sd 0.1": (0.959, 10.8),
    "5 seasons, year sd 0.1": (0.954, 8.6),
    "1 season, year sd 0.15": (0.974, 19.4),
    "3 seasons, year sd 0.15": (0.941, 13.7),
    "5 seasons, year sd 0.15": (0.946, 11.6),
    "1 season, year sd 0.2": (0.936, 20.3),
    "3 seasons, year sd 0.2": (0.919, 16.4),
    "5 seasons, year sd 0.2": (0.941, 14.3),
    "1 season, year sd 0.25": (0.896, 21.2),
    "3 seasons, year sd 0.25": (0.903, 18.7),
    "5 seasons, year sd 0.25": (0.932, 16.6),
    "1 season, year sd 0.3": (0.836, 22.1),
    "3 seasons, year sd 0.3": (0.887, 20.9),
    "5 seasons, year sd 0.3": (0.925, 18.8),
    "good and poor years follow one another (AR 0.4)": (0.833, 13.0),
    "the hatching year sets Linf instead": (0.982, 17.6),
    "trips not alike": (0.94, 13.7),
    "fish of a trip alike (0.3)": (0.938, 13.8),
    "10 aged of each inch": (0.947, 14.4),
    "growth by Gompertz": (0.906, 16.2),
    "kept by anglers from 200 mm": (0.941, 14.5),
    "ages misread (CV 6%)": (0.941, 13.7),
    "ages misread (CV 11%)": (0.929, 13.4),
    "harvested from 200 mm at F 0.5": (0.911, 14.7),
    "harvested from 200 mm at F 1": (0.827, 15.9),
    "three arms that grow apart": (0.932, 12.7),
    "three arms of 40 fish": (0.947, 14.8),
}
WIDE_SD = 0.25
# Mean error of the same lengths where fish over 200 mm die at F 1 of harvest.
HARVEST_SHORT_MM = 5.7


def too_narrow(seasons: int, year_sd: float) -> list[str]:
    """Return where simulations found the intervals too narrow, if these fish are such a case."""
    if seasons == 1:
        ends = [FOUND[f"1 season, year sd {sd}"][0] for sd in ("0.25", "0.3")]
        return [
            (
                "One season cannot show how much growth years differ. In simulated lakes where "
                f"they differed by an sd of 0.25 to 0.3, {_percent(min(ends))} to "
                f"{_percent(max(ends))} of these 95% intervals held the truth."
            )
        ]
    if year_sd < WIDE_SD:
        return []
    nearest = "5 seasons" if seasons >= 5 else "3 seasons"
    ends = [FOUND[f"{nearest}, year sd {sd}"][0] for sd in ("0.25", "0.3")]
    return [
        (
            f"Growth years differ widely here (sd {year_sd:.2f}), and the intervals are somewhat "
            f"too narrow: in simulated lakes like this {_percent(min(ends))} to "
            f"{_percent(max(ends))} of the 95% intervals held the truth."
        )
    ]


def harvest_text() -> str:
    """Return what harvest does to growth, where anglers take the fast growers first."""
    half, whole = (FOUND[f"harvested from 200 mm at F {rate}"][0] for rate in ("0.5", "1"))
    return (
        "Anglers take the fast growers first, so the fish that are left show growth too slow. In "
        f"simulated lakes with F 1 the lengths were {HARVEST_SHORT_MM:.0f} mm too short at ages 2 "
        f"to 5, and {_percent(whole)} of the 95% intervals held the truth; with F 0.5, "
        f"{_percent(half)}."
    )


def calibration() -> Table:
    """Return what `manage.py benchmark calibrate-growth` found."""
    rows = [
        [Text(name), Count(95), Share(held), Number(width)] for name, (held, width) in FOUND.items()
    ]
    return Table(
        name="intervals-held",
        caption="How often these intervals hold the truth",
        columns=[
            Column("Simulated lakes"),
            Column("Nominal, %", "Nominal", "%"),
            Column("Length at age held, %", "Length at age held", "%"),
            Column("Half-width, mm", "Half-width", "mm"),
        ],
        rows=rows,
        note="500 lakes a case, length at ages 2 to 5; unless said, 3 seasons and growth years "
        "that differ by an sd of 0.15. Where good and poor years follow one another the intervals "
        "are too narrow, and a few seasons cannot show it. Harvest at a high rate bends the curve.",
        folded=True,
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f}%"
