"""How often the verdicts are right, on simulated lakes whose truth is known."""

from samples.findings.shown import Table

# As `manage.py benchmark verdicts` found on November 30, 2026: lakes, right, cannot tell, wrong.
FOUND = {
    "growth": (25, 16, 9, 0),
    "harvest": (52, 32, 18, 2),
    "little effect": (75, 38, 37, 0),
    "natural death": (48, 18, 27, 3),
    "tags were put out": (100, 67, 29, 4),
    "no tags": (100, 37, 62, 1),
    "all lakes": (200, 104, 91, 5),
}


def calibration() -> Table:
    """Give what `manage.py benchmark verdicts` found."""
    rows = [[words, *(str(count) for count in counts)] for words, counts in FOUND.items()]
    return Table(
        name="calibration",
        caption="How often these verdicts are right",
        heads=["Truth, or what was entered", "Lakes", "Right", "Cannot tell", "Wrong"],
        rows=rows,
        note="200 simulated lakes of known truth, each answered by the code of this page from 150 "
        "aged fish, half of them from nets, 800 measured ones, a survey of natural death that is "
        "some 12 % off, and in every other lake 200 tags; limit 254 mm. Of 109 lakes that got an "
        "answer, 104 got the right one. Without tags most stay open: that is why they are asked "
        "for.",
        folded=True,
    )
