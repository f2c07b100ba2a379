"""How often the verdicts are right, on simulated lakes whose truth is known."""

from samples.findings.shown import Table


def calibration() -> Table:
    """Give what `manage.py benchmark verdicts` found."""
    return Table(
        name="calibration",
        caption="How often these verdicts are right",
        heads=["Truth", "Lakes", "Right, %", "Cannot tell, %", "Wrong, %"],
        rows=[],
        folded=True,
    )
