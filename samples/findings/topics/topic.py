"""A topic as one object: what it is called, asks and reads, and what it costs.

It is known without loading what works it out: the navigation names every topic on every page.
"""

from dataclasses import dataclass
from enum import StrEnum
from importlib import import_module
from typing import TYPE_CHECKING

from samples.findings.parts import Part

if TYPE_CHECKING:
    from samples.findings.page_model import Page
    from samples.findings.topics.query import TopicQuery


class Asks(StrEnum):
    """The form in which a topic is asked."""

    CHOICE = "choice"
    # Told over seasons: all that have begun, unless others are chosen.
    ALL_SEASONS = "all_seasons"
    LIMITS = "limits"


@dataclass(frozen=True, slots=True, kw_only=True)
class Topic:
    """One finding, in a folder of its own: ``build`` in its ``page`` makes its page.

    Attributes
    ----------
    package : str
        Its folder, as Python imports it.
    slug, title : str
        Its address, and what it is called.
    place : int
        Where it is offered: lower ones first.
    guess : (float, float)
        CPU seconds of itself, and microseconds a fish of the choice; what it
        cost the last time is known after. Measured on the invented reservoir (1,465 and 4,746
        fish) on one core of a small server.
    asks : Asks
        The form in which it is asked.
    reads : frozenset of Part
        What is read beside the sample. What is not named is not there to be asked for.
    is_of_one_species : bool
        It is of the chosen species and all its fish together, whatever is compared elsewhere.
    more_filters : tuple of str
        Fields of the form that are of use to this topic alone.
    public_of : str
        The topic that it is the version for the public of; such a one is not offered by itself.
    on_poster : bool
        Its first figure stands on the page for anglers.
    place_in_summary : int
        Its place among the main answers of a report, from 1; none of them if 0.
    method : str
        How it is estimated, as a report states it.
    sources : tuple of str
        The publications that this rests on, as a report lists them.
    """

    package: str
    slug: str
    title: str
    place: int
    guess: tuple[float, float]
    asks: Asks = Asks.CHOICE
    reads: frozenset[Part] = frozenset()
    is_of_one_species: bool = False
    more_filters: tuple[str, ...] = ()
    public_of: str = ""
    on_poster: bool = False
    place_in_summary: int = 0
    method: str = ""
    sources: tuple[str, ...] = ()

    def load(self) -> None:
        """Load what works it out."""
        import_module(f"{self.package}.page")

    def build(self, query: "TopicQuery") -> "Page":
        """Work it out and return its page."""
        page: Page = import_module(f"{self.package}.page").build(query)
        return page
