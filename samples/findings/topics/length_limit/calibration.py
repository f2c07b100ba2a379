"""How often the verdicts are right, on simulated lakes whose truth is known."""

from samples.findings.page_model import Column, Count, Table, Text

# As `manage.py benchmark verdicts` found on November 30, 2026: lakes, right, cannot tell, wrong.
FOUND = {
    "growth": (45, 37, 8, 0),
    "harvest": (63, 32, 28, 3),
    "little effect": (18, 7, 11, 0),
    "natural mortality": (124, 90, 33, 1),
    "tags were put out": (125, 94, 30, 1),
    "no tags": (125, 72, 50, 3),
    "all lakes": (250, 166, 80, 4),
}


# As `manage.py benchmark calibrate-figures` found the same day, 200 lakes with tags: share of the
# 95% intervals of weight and number harvested that held the truth, and the same of weight where
# the range entered for natural mortality was narrower than surveys err.
HELD_WEIGHT, HELD_NUMBER, HELD_NARROW = 0.94, 0.925, 0.87


def held_text() -> str:
    """Return how often the intervals of the harvest hold the truth."""
    return (
        f"On simulated lakes with tags, {100 * HELD_WEIGHT:.0f}% of these 95% intervals held the "
        f"true weight, {100 * HELD_NUMBER:.0f}% the true number, and {100 * HELD_NARROW:.0f}% the "
        "weight where the range entered for natural mortality was narrower than surveys err: enter "
        "the whole range. Released fish die at the best rate entered in all of it."
    )


def calibration() -> Table:
    """Return what `manage.py benchmark verdicts` found."""
    rows = [[Text(words), *(Count(count) for count in counts)] for words, counts in FOUND.items()]
    return Table(
        name="calibration",
        caption="How often these verdicts are right",
        columns=[
            Column("Truth, or what was entered"),
            Column("Lakes"),
            Column("Right"),
            Column("Cannot tell"),
            Column("Wrong"),
        ],
        rows=rows,
        note="250 simulated lakes of known truth, each answered by the code of this page from 150 "
        "aged fish, half of them from nets, 800 measured ones, a survey of natural mortality that "
        "is some 12% off, and in every other lake 200 tags; limit 254 mm, in 50 of them with fish "
        "kept from just under it. Of 170 lakes that got an answer, 166 got the right one. Where "
        "harvest was the cause, 3 of 35 answers named natural mortality: F and M were equal to "
        "within 3% there, and whichever is named is all but a tie.",
        folded=True,
    )
