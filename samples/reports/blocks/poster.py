"""The season for anglers: how many fish, the oldest of them, and growth by arm in one picture."""

from dataclasses import replace

from django.db.models import F
from django.db.models.functions import Coalesce

from samples.accounts.selectors import fish_counted
from samples.findings.computed import Question, Words, find_finding, read_question
from samples.findings.page_model import Panel, Plot
from samples.findings.topics import poster_topic
from samples.models import Fish, Progress
from samples.reports.blocks.finding import for_paper
from samples.reports.blocks.made import Made
from samples.reports.document import Poster
from samples.units import LengthUnit, to_text

# What an angler reads at a glance; intervals and rules are for the report.
KEPT_STYLES = {"line", "soft", "small", "dots"}
CAPTION = (
    "Each dot is an aged fish. Thick line: the average fish of the arm. Thin lines: other arms, by "
    "first letter. Below each name: seasons of growth to reach that length."
)


def make_poster(made: Made) -> Poster | None:
    """Return the page for anglers; nothing where no fish of the season has an age."""
    fish = fish_counted(made.lake).filter(season=made.season)
    aged = fish.filter(progress__gte=Progress.AGE_AS_GIVEN).count()
    oldest = _oldest(made)
    if not aged or oldest is None:
        return None
    years: int = oldest.years  # type: ignore[attr-defined]
    unit = LengthUnit(made.lake.length_unit)
    length = f"{to_text(oldest.length_hundredths_mm, unit)} {unit.value}"
    numbers = (
        (f"{fish.count():,}", "fish measured this season"),
        (f"{aged:,}", "fish aged by the rings of their ear stones"),
        (f"{years} years" if years != 1 else "1 year", "the oldest fish"),
    )
    where = "" if oldest.arm.whole_lake else f" from {oldest.arm}"
    name = oldest.species.name
    said = (f"The oldest fish is a {name.lower()} of {length}{where}, {years} years old.",)
    growth = _growth(made)
    if growth is None:
        return Poster(numbers, said)
    species, plot = growth
    return Poster(numbers, said, f"How fast {species.lower()} grow in each arm", CAPTION, plot)


def _oldest(made: Made) -> Fish | None:
    """Return the oldest fish of the season; of two alike the longer one."""
    return (
        fish_counted(made.lake)
        .filter(season=made.season, progress__gte=Progress.AGE_AS_GIVEN)
        .annotate(years=Coalesce(F("age__age_years"), F("age_as_given__age_years")))
        .exclude(years=None)
        .select_related("arm", "species")
        .order_by("-years", "-length_hundredths_mm", "pk")
        .first()
    )


def _growth(made: Made) -> tuple[str, Plot] | None:
    """Return a species and its growth by arm: as the report has it, or by the usual choice."""
    topic = poster_topic()
    found = next((one for one in made.findings if one.question.topic is topic), None)
    question = found.question if found else _usual_question(made)
    if question is None:
        return None
    page = found.page if found else find_finding(question).page
    if not page.plots:
        return None
    plot = for_paper(page.plots[0])
    plot = replace(plot, panels=[_plain(panel) for panel in plot.panels])
    return question.choice.species.species.name, plot


def _usual_question(made: Made) -> Question | None:
    return read_question(made.lake, poster_topic(), Words(), today=made.today)[1]


def _plain(panel: Panel) -> Panel:
    series = [one for one in panel.series if one.style in KEPT_STYLES]
    return replace(panel, series=series, marks=[])
