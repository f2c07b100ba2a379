"""A finding as a question that is answered once: by the page, or by a worker beside it.

Page, figures and tables of a question share one answer, kept under the question and a revision of
the data that it was asked of.
"""

import time
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeAlias
from urllib.parse import parse_qs, urlencode

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
from samples.findings.topics import TOPICS, Asks, Topic
from samples.models import Computation, Lake, read_revision

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm
    from samples.findings.queries import FindingsOptions, FindingsSelection
    from samples.findings.topics.query import TopicQuery

Words: TypeAlias = MultiValueDict[str, str]
FINDING, FIGURE = "finding", "figure"


@dataclass(frozen=True, slots=True)
class Finding:
    """A page with the numbers of its figures, which are drawn for whoever opens it."""

    page: Page


@dataclass(frozen=True, slots=True, eq=False)
class Question:
    """What is asked of which data.

    ``revision`` was read before anything else of the lake. The day at the lake is in the choice:
    it says which seasons have begun, and nothing else follows from it.
    """

    lake: Lake
    topic: Topic
    form: "ChoiceForm"
    choice: "FindingsSelection"
    options: "FindingsOptions"
    today: date
    revision: str

    @property
    def key(self) -> str:
        return digest(self.lake.pk, self.topic.slug, self.form.words)

    @property
    def finding_key(self) -> str:
        """Return where the finding lies that answers it."""
        return result_key(FINDING, self.key, self.revision)

    def count(self) -> int:
        from samples.findings import queries

        return queries.count(fish_counted(self.lake), self.choice)

    def arguments(self) -> dict[str, Any]:
        """Return what a worker asks the same question from."""
        return {
            "lake": self.lake.pk,
            "topic": self.topic.slug,
            "query": urlencode(dict(self.form.given.lists()), doseq=True),
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
    lake: Lake, topic: Topic, data: Words, *, today: date
) -> "tuple[ChoiceForm, Question | None]":
    """Read what was chosen; no question where it is wrong or there is nothing to choose from."""
    return _read_question(lake.pk, topic, data, today, lake)


def _read_question(
    lake_id: int, topic: Topic, data: Words, today: date, lake: Lake | None = None
) -> "tuple[ChoiceForm, Question | None]":
    revision = read_revision(lake_id)
    options = _kept_options(lake_id, today, revision, lake)
    return _ask(topic, data, options, today, revision)


def _ask(
    topic: Topic, data: Words, options: "FindingsOptions", today: date, revision: str
) -> "tuple[ChoiceForm, Question | None]":
    form = _form(topic, data, options)
    choice = form.choice()
    if choice is None:
        return form, None
    if topic.is_of_one_species:
        choice = replace(choice, relatives=())
        form.fields["by"].widget = form.fields["by"].hidden_widget()
    return form, Question(options.lake, topic, form, choice, options, today, revision)


def _kept_options(lake_id: int, today: date, revision: str, lake: Lake | None) -> "FindingsOptions":
    """Return what there is to choose from; it is kept as long as the data stand."""
    from samples.findings import queries

    key = result_key("options", digest(lake_id, today), revision)
    options: FindingsOptions | None = load_result(key)
    if options is None:
        options = queries.options_of(lake or Lake.objects.get(pk=lake_id), today)
        save_result(key, options)
    return options


def find_answer(question: Question, *, now: datetime, again: bool = False) -> Answer:
    """Return a finding if it is known or quickly made; else have a worker make it."""
    found = load_result(question.finding_key)
    if found is not None:
        return Answer(found)
    size = question.count()
    cost = expected_cost(question.topic, question.key, size)
    if cost.fits_on_page:
        return Answer(_make_and_save(question)[1])
    answer = _request(
        FINDING, question.key, question, {}, expected_s=cost.seconds, now=now, again=again
    )
    return replace(answer, size=size)


def find_figure(
    question: Question, place: int, ending: str, *, now: datetime, again: bool = False
) -> Answer:
    """Return a figure of a finding that is known, as a file; else have a worker draw it."""
    own = digest(question.key, place, ending)
    found = load_result(result_key(FIGURE, own, question.revision))
    if found is not None:
        return Answer(found)
    more = {"place": place, "ending": ending}
    return _request(FIGURE, own, question, more, expected_s=FIGURE_S, now=now, again=again)


def _request(
    kind: str,
    key: str,
    question: Question,
    more: dict[str, Any],
    *,
    expected_s: float,
    now: datetime,
    again: bool,
) -> Answer:
    """Have a worker make something; where there is none, the page has made it by then."""
    computation = request_computation(
        kind=kind,
        key=key,
        revision=question.revision,
        arguments=question.arguments() | more,
        expected_s=expected_s,
        now=now,
        again=again,
    )
    result = load_result(computation.result_key)
    wanted = computation.result_key == result_key(kind, key, question.revision)
    if computation.state == Computation.State.DONE and wanted and result is not None:
        return Answer(result)
    return Answer(None, computation, earlier=result)


def make_finding(question: Question, progress: Progress | None = None) -> tuple[Question, Finding]:
    """Work a finding out; return it with the question that it answers.

    Everything is read before anything is worked out, and of one state of the database: that in
    which the question is asked anew if the data changed.
    """
    from samples.findings import queries

    begun = time.thread_time()
    with queries.snapshot():
        question = _as_data_stand(question)
        query = _load(question)
    _tell(progress, 10, "Estimating")
    page = question.topic.build(query)
    save_cost(question.key, PastCost(query.sample.n, time.thread_time() - begun))
    return question, Finding(page)


def _load(question: Question) -> "TopicQuery":
    """Read the fish that a question is about, and what its topic needs beside them."""
    from samples.findings import queries
    from samples.findings.topics.query import TopicQuery

    options, choice = question.options, question.choice
    rows = fish_counted(question.lake)
    sample = queries.load(rows, choice)
    loaded = queries.load_parts(options, rows, choice, question.topic.reads)
    return TopicQuery(options, choice, sample, loaded, queries.large_share(sample))


def _as_data_stand(question: Question) -> Question:
    """Ask anew if the data changed since; as it was, if its choice is not there any more.

    Nothing is kept, nor looked for among what is kept: that may write, and in a snapshot is none.
    """
    from samples.findings import queries

    revision = read_revision(question.lake.pk)
    if revision == question.revision:
        return question
    options = queries.options_of(Lake.objects.get(pk=question.lake.pk), question.today)
    _, again = _ask(question.topic, question.form.given, options, question.today, revision)
    return again or question


def compute_finding(arguments: dict[str, Any], progress: Progress) -> tuple[str, Finding]:
    """Work a finding out beside the page; return it with the revision of its data."""
    question, finding = make_finding(_question_from(arguments), progress)
    return question.revision, finding


def find_finding(question: Question, progress: Progress | None = None) -> Finding:
    """Return a finding for work that goes on beside the pages: as it is known, or made now."""
    found: Finding | None = load_result(question.finding_key)
    return found or _make_and_save(question, progress)[1]


def compute_figure(arguments: dict[str, Any], progress: Progress) -> tuple[str, str | bytes]:
    """Draw one figure of a finding as a file; return it with the revision of its data."""
    from samples.findings.figures import as_png, as_svg

    question = _question_from(arguments)
    finding: Finding | None = load_result(question.finding_key)
    if finding is None:
        question, finding = _make_and_save(question, progress)
    plot = finding.page.plots[arguments["place"]]
    drawn = as_png(plot) if arguments["ending"] == "png" else as_svg(plot)
    return question.revision, drawn


def _make_and_save(
    question: Question, progress: Progress | None = None
) -> tuple[Question, Finding]:
    question, finding = make_finding(question, progress)
    save_result(question.finding_key, finding)
    return question, finding


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
    words = parse_query(arguments["query"])
    topic, today = TOPICS[arguments["topic"]], date.fromisoformat(arguments["today"])
    _, question = _read_question(arguments["lake"], topic, words, today)
    if question is None:
        raise ValueError("This choice no longer exists.")
    return question


def _tell(progress: Progress | None, percent: int, step: str) -> None:
    if progress is not None:
        progress(percent, step)


def _form(topic: Topic, data: Words, options: "FindingsOptions") -> "ChoiceForm":
    from samples.findings.forms import AllSeasonsForm, ChoiceForm, LimitForm

    if topic.asks is Asks.ALL_SEASONS:
        return AllSeasonsForm(data, options)
    if topic.asks is Asks.CHOICE or not options.lake_species:
        return ChoiceForm(data, options)
    code = data.get("species") or options.lake_species[0].species.code
    chosen = [one.species_id for one in options.lake_species if one.species.code == code]
    rows = [row for row in options.release if row.species_id in chosen]
    release = [(str(row.pk), row.when or row.source) for row in rows]
    return LimitForm(data, options, release)
