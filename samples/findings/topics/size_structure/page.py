"""Size structure from nets, length frequencies by way of capture, and condition."""

import numpy as np

from samples.findings.page_model import (
    Column,
    Count,
    Number,
    Page,
    Panel,
    Plot,
    Sentence,
    Series,
    Table,
    Text,
    interval,
)
from samples.findings.topics.account import Account
from samples.findings.topics.headline import extremes, in_group
from samples.findings.topics.query import TopicQuery
from samples.findings.topics.size_structure.analyse import (
    NoNetFish,
    analyse,
    analyse_condition,
    count_excluded,
)
from samples.findings.topics.study import FishGroup
from samples.models import Method
from samples.science.errors import CannotEstimate
from samples.science.size_structure import (
    LENGTHS,
    SizeStructure,
)
from samples.units import LengthUnit

FEWEST_TO_TELL = 20


def build(query: TopicQuery) -> Page:
    """Return size structure by arm from standard gear, and lengths by method."""
    title = f"{query.species}: size structure, {query.choice.season_words}"
    if not query.sample.n:
        return Page(title, refused="No measured fish in this choice yet.")
    found, refused = [], []
    condition, not_weighed = _condition(query)
    for stock in query.stocks():
        try:
            found.append((stock, analyse(stock.code, stock.sample)))
        except NoNetFish:
            refused.append(
                Sentence("no_net_fish", "no fish from nets or electrofishing.").of(stock.name)
            )
        except CannotEstimate as problem:
            why = Sentence(problem.code, problem.sentence)
            refused.append(why.of(f"{stock.name}, from nets"))
    leads = [_lead(query, stock, one) for stock, one in found]
    return Page(
        title=title,
        answer=_answer(query, found),
        summary=leads or refused,
        plots=[*_psd_plot(query, found), _plot(query)],
        tables=[*_table(query, found), *condition],
        left_out=[*refused, *_account(query, found).sentences(), *not_weighed],
        cautions=[
            (
                "Size structure comes from nets and electrofishing only. Anglers keep only "
                "longer fish, so their fish would give a PSD near 100 in any lake."
            ),
        ],
    )


def _account(query: TopicQuery, found: list[tuple[FishGroup, SizeStructure]]) -> Account:
    """Account for every measured fish: of stock length and from nets, or excluded."""
    account = Account("measured fish", query.sample.n)
    excluded = count_excluded(query.sample, [(stock.sample, one) for stock, one in found])
    account.exclude(
        "not_net_fish",
        excluded.not_of_nets,
        "fish were not caught in nets or by electrofishing. They are in the length frequencies.",
    )
    account.exclude("picked_by_size", excluded.picked, "net fish were picked by size.")
    account.exclude(
        "no_group",
        excluded.of_no_group,
        "net fish belong to no group with a size structure here.",
    )
    account.exclude("below_stock", excluded.short, "net fish are shorter than stock length.")
    return account


def _lead(query: TopicQuery, group: FishGroup, one: SizeStructure) -> str:
    inches = query.unit is LengthUnit.INCH
    lengths = LENGTHS[group.code]
    shortest, quality = (lengths.inches if inches else lengths.mm)[:2]
    share = one.over[0]
    unit = query.unit.value
    of = f"n = {one.stock} net fish of {shortest} {unit} and longer"
    if one.stock < FEWEST_TO_TELL:
        return f"{group.name}: {share.fish} of {one.stock} net fish are {quality} {unit} or longer."
    return (
        f"{group.name}: PSD {share.percent:.0f} (95% CI {share.lower:.0f}-{share.upper:.0f}). "
        f"{share.percent:.0f}% are {quality} {unit} or longer; {of}."
    )


def _answer(query: TopicQuery, found: list[tuple[FishGroup, SizeStructure]]) -> str:
    """Return the largest and the smallest PSD."""
    psd = {group.name: one.over[0].percent for group, one in found if one.stock >= FEWEST_TO_TELL}
    if not psd:
        return ""
    said = [f"{psd[name]:.0f} {in_group(query, name)}" for name in dict.fromkeys(extremes(psd))]
    return f"PSD: {', '.join(said)}"


def _head(one: SizeStructure) -> tuple[str, str]:
    share = one.over[0]
    if one.stock < FEWEST_TO_TELL:
        return f"{share.fish} of {one.stock} fish", "quality or longer"
    return f"PSD {share.percent:.0f}", f"({share.lower:.0f}-{share.upper:.0f})"


def _psd_plot(query: TopicQuery, found: list[tuple[FishGroup, SizeStructure]]) -> list[Plot]:
    """Draw PSD, PSD-P, PSD-M and PSD-T of each group with their intervals."""
    panels = [
        Panel(
            stock.name,
            [
                Series(
                    "dots",
                    [float(place) for place in range(1, len(one.over) + 1)],
                    [share.percent for share in one.over],
                    lower=[share.lower for share in one.over],
                    upper=[share.upper for share in one.over],
                    name="share of the stock-length fish",
                )
            ],
            note=f"n = {one.stock}",
            answer=_head(one)[0],
            interval=_head(one)[1],
            says=_lead(query, stock, one),
        )
        for stock, one in found
    ]
    if not panels:
        return []
    return [
        Plot(
            name="Proportional size distribution",
            panels=panels,
            x_label="Category",
            y_label="Share of stock-length fish, %",
            alt="PSD with its intervals, one panel a group; the table has every figure.",
            caption="Share of the stock-length net fish that are as long as each category, with "
            "Wilson's 95% CI. Q: quality (PSD), P: preferred (PSD-P), M: memorable (PSD-M), T: "
            "trophy (PSD-T).",
            whole_x=True,
            x_names={1: "Q", 2: "P", 3: "M", 4: "T"},
        )
    ]


def _plot(query: TopicQuery) -> Plot:
    own = query.sample.where(query.sample.species == query.choice.species.species_id)
    edges = np.arange(int(query.bin_of(query.sample).max(initial=0)) + 1) * query.bin_mm
    panels = []
    for method in Method:
        of_method = np.array([one == method for one in own.method], dtype=bool)
        caught = own.where(of_method)
        if not caught.n:
            continue
        counts = np.bincount(query.bin_of(caught), minlength=edges.size)
        middles = [query.in_unit(float(edge) + query.bin_mm / 2) for edge in edges]
        series = Series("bars", middles, [100 * float(n) / caught.n for n in counts], name="fish")
        panels.append(Panel(str(method.label), [series], note=f"n = {caught.n:,}"))
    return Plot(
        name="Lengths by method",
        panels=panels,
        x_label=f"Total length, {query.unit_name}",
        y_label="Share of the fish, %",
        alt="Length frequencies, one panel per method.",
        caption="Share of the fish of each length bin, one panel per method.",
    )


def _table(query: TopicQuery, found: list[tuple[FishGroup, SizeStructure]]) -> list[Table]:
    if not found:
        return []
    rows = [
        [
            Text(stock.name),
            Count(one.stock),
            Text(share.category),
            Count(share.fish),
            Number(share.percent),
            interval(share.lower, share.upper, 0),
        ]
        for stock, one in found
        for share in one.over
    ]
    return [
        Table(
            name="size-structure",
            caption="Proportional size distribution (PSD) of net fish",
            columns=[
                Column(query.what),
                Column("Stock", "Fish of stock length"),
                Column("At least"),
                Column("Fish"),
                Column("Share, %", "Share", "%"),
                Column("95% CI, %", "Share", "%"),
            ],
            rows=rows,
            note="Length categories of Gabelhouse (1984), of hybrid striped bass by Dumont & Neely "
            "(2011), each fish in the unit in which it was measured; intervals by Wilson, with "
            "the effective number of fish (Korn & Graubard 1998): fish of one set are alike.",
        )
    ]


def _condition(query: TopicQuery) -> tuple[list[Table], list[Sentence]]:
    """Return mean Wr of each length category, and say where weighed fish give none."""
    rows, said = [], []
    for stock in query.stocks():
        try:
            condition = analyse_condition(stock.code, stock.sample)
        except CannotEstimate as problem:
            why = Sentence(problem.code, problem.sentence)
            said.append(why.of(f"{stock.name}, relative weight"))
            continue
        if condition is None:
            continue
        rows += [
            [
                Text(stock.name),
                Text(name),
                Count(found.n),
                Number(found.mean),
                interval(found.lower, found.upper, 0),
            ]
            for name, found in [*condition.by_length.items(), ("all", condition.every)]
        ]
    if not rows:
        return [], said
    table = Table(
        name="relative-weight",
        caption="Relative weight (Wr) by length category",
        columns=[
            Column(query.what),
            Column("Category"),
            Column("Fish"),
            Column("Mean Wr"),
            Column("95% CI", "Mean Wr"),
        ],
        rows=rows,
        note="100 times weight over standard weight (Murphy, Brown & Springer 1990; Blackwell, "
        "Brown & Willis 2000), from stock length on, each category up to the next.",
    )
    return [table], said
