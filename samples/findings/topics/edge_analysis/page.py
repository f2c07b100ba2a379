"""Edge analysis: in which month annuli form here, by the margins of otoliths."""

from samples.findings.page_model import (
    Column,
    Count,
    Page,
    Panel,
    Plot,
    Sentence,
    Series,
    SettingsOffer,
    Share,
    Table,
    Text,
    percent_interval,
)
from samples.findings.queries.sample import calendar_of
from samples.findings.sample import Margins
from samples.findings.topics.account import Account
from samples.findings.topics.edge_analysis.analyse import (
    FEWEST_A_MONTH,
    AgeGroup,
    analyse,
    count_too_young,
    window_of,
)
from samples.findings.topics.query import TopicQuery
from samples.rules.and_text import and_text
from samples.rules.season_days import MonthDay, last_day_of
from samples.science.edge import FormationWindow

MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
YOUNG, OLD = "2 annuli", "3 annuli and more"
CODE_WORDS = ("1 At the edge", "2 Less than 1/3", "3 1/3 to 2/3", "4 More than 2/3")


def _name(group: AgeGroup) -> str:
    return YOUNG if group.is_young else OLD


def build(query: TopicQuery) -> Page:
    """Return the share of otoliths with an annulus at the edge by month and age group."""
    title = f"{query.species}: edge analysis, {query.choice.season_words}"
    margins = query.loaded.margins
    groups = analyse(margins)
    if not groups:
        return Page(
            title,
            refused=Sentence(
                "no_margins",
                "No otolith with two or more annuli has a margin code yet. Enter the margin with "
                "each reading.",
            ),
            left_out=_account(margins).sentences(),
        )
    window = window_of(groups)
    return Page(
        title=title,
        answer=_answer(groups),
        summary=[_lead(query, one) for one in groups],
        warnings=_months_missing(window),
        offer=_offer(query, window),
        plots=[_plot(query, groups)],
        tables=[_table(groups)],
        left_out=_account(margins).sentences(),
        cautions=[
            (
                "Edge analysis needs fish of every month. Where most fish come from one season of "
                "fishing, it cannot show when annuli form."
            ),
            (
                "Young fish form an annulus earlier than old ones, so age groups stand apart. A "
                "reader who knows the date of capture may read the margin to fit it (Campana 2001)."
            ),
        ],
    )


def _account(margins: Margins) -> Account:
    """Account for every fish that was read: of an age group, or excluded."""
    total = len(margins.annuli) + margins.without + margins.undated
    account = Account("read fish", total)
    account.exclude("no_margin", margins.without, "fish have no margin code.")
    account.exclude("no_catch_date", margins.undated, "fish have no catch date.")
    account.exclude(
        "one_annulus",
        count_too_young(margins),
        "fish have one annulus: there is no earlier increment to compare the margin with.",
    )
    return account


def _lead(query: TopicQuery, group: AgeGroup) -> Sentence:
    if not group.told:
        return Sentence(
            "few_a_month",
            f"too few otoliths in any month to say when annuli form ({group.n}; {FEWEST_A_MONTH} a "
            "month are needed).",
        ).of(_name(group))
    best = group.formed_in
    if best is None:
        names = and_text([MONTH_NAMES[month - 1] for month in group.told])
        return Sentence(
            "no_month",
            f"no month stands out. Months with {FEWEST_A_MONTH} or more otoliths: {names}.",
        ).of(_name(group))
    return Sentence(
        "month",
        f"annuli form about {MONTH_NAMES[best.month - 1]}. {100 * best.share:.0f}% of {best.n} "
        f"otoliths have one at the edge then (95% CI {100 * best.lower:.0f}-"
        f"{100 * best.upper:.0f}). {_against_window(query, best.month)}",
    ).of(_name(group))


def _against_window(query: TopicQuery, month: int) -> str:
    """Return whether the month lies in the species' window of annulus formation."""
    calendar = calendar_of(query.choice.species)
    first, last = calendar.annulus_starts, calendar.annulus_ends
    span = (last.month - first.month) % 12
    inside = (month - first.month) % 12 <= span
    window = f"{first.text()} to {last.text()}"
    if inside:
        return f"That agrees with the window under Species, {window}."
    return f"The window under Species is {window}. Check both."


def _offer(query: TopicQuery, window: FormationWindow | None) -> SettingsOffer | None:
    """Return the window of whole months that the margins speak for, where it is another one."""
    calendar = calendar_of(query.choice.species)
    now = (calendar.annulus_starts, calendar.annulus_ends)
    if window is None or window.missing:
        return None
    if (window.first, window.last) == (now[0].month, now[1].month):
        return None
    offered = (MonthDay(window.first, 1), last_day_of(window.last))
    return SettingsOffer(
        words=f"Annuli form from {offered[0].text()} to {offered[1].text()} in both age groups. "
        f"The window under Species is {now[0].text()} to {now[1].text()}.",
        button="Review the new window",
        lake_species=query.choice.species.pk,
        values=(("annulus_starts", str(offered[0])), ("annulus_ends", str(offered[1]))),
    )


def _months_missing(window: FormationWindow | None) -> list[Sentence]:
    """Ask for the months without which no window can be offered."""
    if window is None or not window.missing:
        return []
    names = and_text([MONTH_NAMES[month - 1] for month in window.missing])
    return [
        Sentence(
            "months_missing",
            f"Annuli may form in {names} too. Before you change the annulus window, read "
            f"{FEWEST_A_MONTH} or more otoliths a month of each age group, caught in {names}.",
        )
    ]


def _answer(groups: list[AgeGroup]) -> str:
    """Return in which months annuli form."""
    found = [one.formed_in for one in groups if one.formed_in]
    months = list(dict.fromkeys(MONTH_NAMES[best.month - 1] for best in found))
    return f"Annuli form about {and_text(months)}" if months else ""


def _plot(query: TopicQuery, groups: list[AgeGroup]) -> Plot:
    panels = [
        Panel(
            _name(group),
            [
                Series(
                    "dots",
                    [float(one.month) for one in group.months],
                    [100 * one.share for one in group.months],
                    lower=[100 * one.lower for one in group.months],
                    upper=[100 * one.upper for one in group.months],
                    name="annulus at the edge",
                )
            ],
            note=f"n = {group.n}",
            says=_lead(query, group),
        )
        for group in groups
    ]
    return Plot(
        name="Annulus at the edge by month",
        panels=panels,
        x_label="Month of capture",
        y_label="Annulus at the edge, %",
        alt="Share of otoliths with an annulus at the edge by month; the table has every figure.",
        caption="Share of otoliths whose newest annulus lies at the edge (margin code 1) by month "
        "of capture, with Wilson's 95% CI.",
        whole_x=True,
        x_names={place + 1: name[:3] for place, name in enumerate(MONTH_NAMES)},
    )


def _table(groups: list[AgeGroup]) -> Table:
    rows = [
        [
            Text(_name(group)),
            Text(MONTH_NAMES[one.month - 1]),
            Count(one.n),
            *[Share(count / one.n) for count in one.counts],
            percent_interval(one.lower, one.upper, 0),
        ]
        for group in groups
        for one in group.months
    ]
    return Table(
        name="edge",
        caption="Margins of the otoliths by month",
        columns=[
            Column("Group"),
            Column("Month"),
            Column("Otoliths"),
            *[Column(f"{code}, %", code, "%") for code in CODE_WORDS],
            Column("95% CI of code 1, %", CODE_WORDS[0], "%"),
        ],
        rows=rows,
        note="Each fish by its newest reading with a margin code. Codes and their use: Campana "
        "(2001). A new annulus window is offered only where both age groups have "
        f"{FEWEST_A_MONTH} otoliths or more in each month of the window and beside it.",
    )
