"""A finding as a question that is answered once: by the page, or by a worker beside it.

Page, figures and tables of a question share one answer, kept under the question and a revision of
the data that it was asked of.
"""

import time
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeAlias
from urllib.parse import parse_qs, urlencode

from django.urls import reverse
from django.utils.datastructures import MultiValueDict

from samples.accounts.selectors import fish_counted
from samples.computations.requests import request_computation
from samples.computations.results import (
    PastCost,
    digest,
    load_result,
    result_key,
    save_cost,
    save_result,
)
from samples.computations.running import Progress
from samples.findings.cost import FIGURE_S, expected_cost
from samples.findings.page_model import Page
from samples.models import Computation, Lake, ReleaseDeath

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm
    from samples.findings.queries import FindingsOptions, FindingsSelection

Words: TypeAlias = MultiValueDict[str, str]
FINDING, FIGURE = "finding", "figure"
DRAWN_FROM, DRAWN_TO = 70, 95


@dataclass(frozen=True, slots=True)
class Finding:
    """A page, and its figures as they stand in it."""

    page: Page
    svgs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Rights:
    """What of a finding depends on who asks: dots that lead to their vials."""

    linked: bool


@dataclass(frozen=True, slots=True, eq=False)
class Question:
    """What is asked of which data, by somebody with these rights."""

    lake: Lake
    topic: str
    form: "ChoiceForm"
    choice: "FindingsSelection"
    options: "FindingsOptions"
    rights: Rights
    today: date

    @property
    def key(self) -> str:
        return digest(self.lake.pk, self.topic, self.form.words, self.rights)

    def revision(self) -> str:
        """Return a cache key for the data behind the question. Read it before the data."""
        from samples.findings import queries

        return digest(queries.fingerprint(fish_counted(self.lake), self.choice))

    def count(self) -> int:
        from samples.findings import queries

        return queries.count(fish_counted(self.lake), self.choice)

    def arguments(self) -> dict[str, Any]:
        """Return what a worker asks the same question from."""
        return {
            "lake": self.lake.pk,
            "topic": self.topic,
            "query": urlencode(dict(self.form.given.lists()), doseq=True),
            "linked": self.rights.linked,
            "today": self.today.isoformat(),
        }


@dataclass(frozen=True, slots=True)
class Answer:
    """The result, or the computation that is waited for, with an earlier result if there is one."""

    result: Any = None
    computation: Computation | None = None
    size: int = 0
    earlier: Any = None


def read_question(
    lake: Lake, topic: str, data: Words, *, rights: Rights, today: date
) -> "tuple[ChoiceForm, Question | None]":
    """Read what was chosen; no question where it is wrong or there is nothing to choose from."""
    # Arrays and what works on them are brought in by the first finding: phones need none of it.
    from samples.findings import queries
    from samples.findings.topics import TAKEN_TOGETHER

    options = queries.options_of(lake, today)
    form = _form(lake, topic, data, options)
    choice = form.choice()
    if choice is None:
        return form, None
    if topic in TAKEN_TOGETHER:
        choice = replace(choice, relatives=())
        form.fields["by"].widget = form.fields["by"].hidden_widget()
    return form, Question(lake, topic, form, choice, options, rights, today)


def find_answer(question: Question, *, now: datetime, again: bool = False) -> Answer:
    """Return a finding if it is known or quickly made; else have a worker make it."""
    revision = question.revision()
    key = result_key(FINDING, question.key, revision)
    found = load_result(key)
    if found is not None:
        return Answer(found)
    size = question.count()
    cost = expected_cost(question.topic, question.key, size)
    if cost.fits_on_page:
        found = make_finding(question)
        save_result(key, found)
        return Answer(found)
    computation = request_computation(
        kind=FINDING,
        key=question.key,
        revision=revision,
        arguments=question.arguments(),
        expected_s=cost.seconds,
        now=now,
        again=again,
    )
    # Done already where there is no worker, and the page did it.
    found = load_result(key) if computation.state == Computation.State.DONE else None
    if found is not None:
        return Answer(found)
    return Answer(None, computation, size, load_result(computation.result_key))


def find_figure(
    question: Question, place: int, ending: str, *, now: datetime, again: bool = False
) -> Answer:
    """Return a figure of a finding that is known, as a file; else have a worker draw it."""
    revision = question.revision()
    own = digest(question.key, place, ending)
    key = result_key(FIGURE, own, revision)
    found = load_result(key)
    if found is not None:
        return Answer(found)
    computation = request_computation(
        kind=FIGURE,
        key=own,
        revision=revision,
        arguments=question.arguments() | {"place": place, "ending": ending},
        expected_s=FIGURE_S,
        now=now,
        again=again,
    )
    found = load_result(key) if computation.state == Computation.State.DONE else None
    return Answer(found, None if found else computation)


def make_finding(question: Question, progress: Progress | None = None) -> Finding:
    """Work a finding out and draw its figures."""
    from samples.findings import queries
    from samples.findings.figures import as_svg
    from samples.findings.topics import PAGES, TopicQuery

    begun = time.thread_time()
    rows = fish_counted(question.lake)
    sample = queries.load(rows, question.choice)
    _tell(progress, 10, "Estimating")
    share = queries.large_share(sample)
    page = PAGES[question.topic](TopicQuery(question.options, question.choice, sample, rows, share))
    link = _link_to(question.lake) if question.rights.linked else None
    svgs = []
    for place, plot in enumerate(page.plots):
        percent = DRAWN_FROM + (DRAWN_TO - DRAWN_FROM) * place // len(page.plots)
        _tell(progress, percent, f"Drawing figure {place + 1} of {len(page.plots)}")
        svgs.append(as_svg(plot, link=link))
    cost = PastCost(sample.n, time.thread_time() - begun, draws=bool(svgs))
    save_cost(question.key, cost)
    return Finding(page, tuple(svgs))


def compute_finding(arguments: dict[str, Any], progress: Progress) -> tuple[str, Finding]:
    """Work a finding out beside the page; return it with the revision of its data."""
    question = _question_from(arguments)
    return question.revision(), make_finding(question, progress)


def compute_figure(arguments: dict[str, Any], progress: Progress) -> tuple[str, str | bytes]:
    """Draw one figure of a finding as a file; return it with the revision of its data."""
    from samples.findings.figures import as_png, as_svg

    question = _question_from(arguments)
    revision = question.revision()
    key = result_key(FINDING, question.key, revision)
    finding: Finding | None = load_result(key)
    if finding is None:
        finding = make_finding(question, progress)
        save_result(key, finding)
    plot = finding.page.plots[arguments["place"]]
    return revision, as_png(plot) if arguments["ending"] == "png" else as_svg(plot, on_page=False)


def name_donors(page: Page, *, named: bool) -> Page:
    """Return a page with its donors by the names they have now, for those who may see them.

    No name is kept with a finding: once it is taken out, no earlier page can show it.
    """
    from samples.findings import queries

    keys = page.donors()
    names = queries.donor_names(keys) if named and keys else {}
    return page.with_donors(names)


def parse_query(query: str) -> Words:
    """Read what was chosen from the words of an address."""
    return MultiValueDict(parse_qs(query))


def _question_from(arguments: dict[str, Any]) -> Question:
    """Ask the question anew from a computation's arguments.

    :raises ValueError: if what was chosen is not there any more
    """
    _, question = read_question(
        Lake.objects.get(pk=arguments["lake"]),
        arguments["topic"],
        parse_query(arguments["query"]),
        rights=Rights(linked=arguments["linked"]),
        today=date.fromisoformat(arguments["today"]),
    )
    if question is None:
        raise ValueError("What was chosen is not there any more.")
    return question


def _tell(progress: Progress | None, percent: int, step: str) -> None:
    if progress is not None:
        progress(percent, step)


def _link_to(lake: Lake) -> Any:
    return lambda number: reverse("lab:vial", args=[lake.slug, number])


def _form(lake: Lake, topic: str, data: Words, options: "FindingsOptions") -> "ChoiceForm":
    from samples.findings.forms import AllSeasonsForm, ChoiceForm, LimitForm
    from samples.findings.topics import ABOUT_LIMITS, OVER_SEASONS

    if topic in OVER_SEASONS:
        return AllSeasonsForm(data, options)
    if topic not in ABOUT_LIMITS or not options.lake_species:
        return ChoiceForm(data, options)
    code = data.get("species") or options.lake_species[0].species.code
    rows = ReleaseDeath.objects.filter(lake=lake, species__code=code).order_by("middle")
    release = [(str(row.pk), row.when or row.source) for row in rows]
    return LimitForm(data, options, release)
