"""The table of how often intervals held the truth, on simulated lakes."""

from collections.abc import Mapping

from samples.findings.page_model import Column, Count, Number, Share, Table, Text

NOMINAL = 95


def held_table(
    found: Mapping[str, tuple[float, float]],
    *,
    name: str,
    of: str,
    what: str,
    half_width: Column,
    decimals: int,
    note: str,
    cases: str = "Simulated lakes",
) -> Table:
    """Return a folded table of cases, the share of intervals of each that held, and half a width.

    ``of``: the intervals, in the caption; ``what``: what they are of, in the head of its column.
    """
    return Table(
        name=name,
        caption=f"How often {of} hold the truth",
        columns=[
            Column(cases),
            Column("Nominal, %", "Nominal", "%"),
            Column(f"{what} held, %", f"{what} held", "%"),
            half_width,
        ],
        rows=[
            [Text(case), Count(NOMINAL), Share(held), Number(width, decimals)]
            for case, (held, width) in found.items()
        ],
        note=note,
        folded=True,
    )
