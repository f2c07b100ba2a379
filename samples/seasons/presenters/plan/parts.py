"""What a section of the plan is made of, and what every section is made from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from samples.findings.page_model import Table
from samples.findings.presenters.table_html import HtmlTable, as_html
from samples.models import LakeSpecies, Season
from samples.science.season_forecast import SeasonForecast
from samples.seasons.presenters.filling import Filling
from samples.seasons.queries.weeks import SeasonRows


@dataclass(frozen=True, slots=True)
class PlannedSpecies:
    """One species of the plan: how far it is, and what it comes to."""

    of: LakeSpecies
    filling: Filling
    forecast: SeasonForecast | None
    by_progress: Mapping[int, int]

    @property
    def name(self) -> str:
        return self.of.species.name


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """What the sections of a plan are made from."""

    season: Season
    last: Season | None
    today: date
    now: datetime
    species: Sequence[PlannedSpecies]
    found: SeasonRows

    @property
    def closed(self) -> bool:
        return self.today > self.season.ends_on


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the page: facts in a line each, tables, and notes.

    ``warnings`` are notes that stand out; ``links`` are addresses with their words, for the screen.
    """

    slug: str
    title: str
    facts: Sequence[tuple[str, str]] = ()
    tables: Sequence[Table] = ()
    notes: Sequence[str] = ()
    warnings: Sequence[str] = ()
    links: Sequence[tuple[str, str]] = ()
    # The place of its first table among those of the page.
    first_table: int = 0

    @property
    def html_tables(self) -> list[HtmlTable]:
        """Return the tables as the page writes them; a wide one scrolls on a phone."""
        return [
            as_html(one, place, is_shown=False)
            for place, one in enumerate(self.tables, self.first_table)
        ]
