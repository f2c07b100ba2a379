"""Small documents of invented fish, for tests of whoever writes them."""

from samples.findings.page_model import Mark, Panel, Plot, Series
from samples.reports.document import (
    Block,
    BlockKind,
    Cell,
    Column,
    ColumnKind,
    Document,
    Figure,
    Interval,
    Passage,
    Table,
)


def make_plot(panels=2):
    ages = [1.0, 2.0, 3.0, 4.0]
    means = [5.1, 7.4, 9.0, 9.9]
    return Plot(
        name="Growth",
        panels=[
            Panel(
                f"Arm {place + 1}",
                [
                    Series("band", ages, means, [4.8, 7.1, 8.6, 9.3], [5.4, 7.7, 9.4, 10.5]),
                    Series("line", ages, means, name="von Bertalanffy curve"),
                    Series("small", ages, [5.3, 7.0, 9.2, 9.7], name="aged fish"),
                ],
                marks=[Mark(10.0, "length limit", tick="10.0")],
                note="n = 4",
                answer="10.0 in at 4.1",
                interval="(3.8-4.6)",
            )
            for place in range(panels)
        ],
        x_label="Age, years",
        y_label="Total length, inches",
        alt="Length against age.",
        caption="Total length at age.",
        whole_x=True,
    )


def make_table(number=1, rows=3):
    return Table(
        number,
        "Mean total length at age (in)",
        (
            Column("Arm", ColumnKind.HEAD),
            Column("n", ColumnKind.NUMBER, "Brindle"),
            Column("Mean", ColumnKind.NUMBER, "Brindle"),
            Column("Change, % (95% CI)", ColumnKind.INTERVAL, low=-100, high=50),
            Column("Would it help?", ColumnKind.SENTENCE),
        ),
        tuple(
            (
                Cell(f"Row {row + 1}"),
                Cell("38"),
                Cell("6.6"),
                Cell("+24 (+9 to +41)", interval=Interval(24.0, 9.0, 41.0)),
                Cell("Fish reach 10.0 in at 2.6 years.", "Yes, probably."),
            )
            for row in range(rows)
        ),
        note="Weighted by measured fish.",
    )


def make_document(blocks=None, **more):
    plot = make_plot()
    growth = Block(
        "growth",
        BlockKind.FINDING,
        1,
        "Growth",
        choice="White crappie, 2026, n = 8",
        own_words=("Brindle fish grow well.",),
        answer="The average fish reaches 10.0 in after 4.1 growing seasons",
        paragraphs=("Tarrow has too few aged fish for a curve.",),
        parts=(
            Figure(1, plot.caption, plot.alt, plot),
            make_table(),
            Passage("Methods", ("Curves were fitted by least squares.",)),
        ),
        cautions=("Anglers keep fish of 7.8 in and up.",),
        excluded=("3 fish have no length.",),
        sources=("Kimura, D. K. 1980. Likelihood methods.",),
    )
    gone = Block(
        "mortality", BlockKind.FINDING, 2, "Mortality", missing="No aged fish in this choice yet."
    )
    return Document(
        **{
            "title": "White crappie of Lake Orrinbeck, 2026",
            "lake": "Lake Orrinbeck",
            "season": "2026",
            "made_at": "2026-11-14T16:20:00-06:00",
            "made_on": "November 14, 2026",
            "revision": "1f2e3d",
            "version": "1.3",
            "authors": ("Nell Aubrey",),
            "words": ("A good year.",),
            "blocks": (growth, gone) if blocks is None else blocks,
            **more,
        }
    )
