"""How often the intervals of growth by calendar year hold the truth, on simulated fish."""

from samples.findings.page_model import Column, Table
from samples.findings.topics.held import held_table

# As `manage.py benchmark calibrate-figures` found on November 30, 2026, 200 lakes a case: share of
# the 95% intervals that held the truth, and their half-width in percent of growth.
FOUND = {
    "20 fish": (0.99, 9.2),
    "60 fish": (0.98, 6.5),
    "200 fish": (0.971, 4.6),
    "60 fish of 3 seasons": (0.972, 6.5),
    "years alike": (0.98, 6.4),
    "year sd 0.3": (0.98, 6.6),
    "years follow one another (AR 0.4)": (0.98, 6.5),
    "rings measured to 3% of the radius": (0.969, 17.7),
    "intercept of 30 mm": (0.98, 6.5),
    "three arms that grow apart": (0.96, 6.3),
    "hatching years apart too (sd 0.1)": (0.97, 8.2),
    "a good year is followed by less growth": (0.877, 7.2),
}
LESS_AFTER = "a good year is followed by less growth"


def less_after_text() -> str:
    """Return the case in which the intervals are too narrow, and how much."""
    held, _ = FOUND[LESS_AFTER]
    return (
        "After a good year fish are longer for their age, and grow less. Good and poor years in a "
        f"row then look more alike than they were: in such simulated lakes {100 * held:.0f}% of "
        "the 95% intervals held the truth. The growth page allows for it."
    )


def calibration() -> Table:
    """Return what `manage.py benchmark calibrate-figures` found."""
    return held_table(
        FOUND,
        name="intervals-held",
        of="these intervals",
        cases="Simulated fish",
        what="Year",
        half_width=Column("Half-width, %", "Half-width", "%"),
        decimals=1,
        note="200 lakes a case; unless said, 60 fish of one season, and growth years that differ "
        "by an sd of 0.15.",
    )
