"""A finished season report as plain data: what every writer reads, and what is kept for years.

A document is made once, by a worker, and never changed after. It holds words and rounded numbers as
they were said on its day, and figures as the findings describe them, so that the same report can be
written again without any other data. No name of a donor ever stands in it.

`as_json` and `read_json` are exact opposites. A field added later needs a default: documents of
earlier years have none.
"""

import json
import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from enum import StrEnum
from numbers import Integral, Real
from typing import Any, TypeAlias, Union, get_args, get_origin, get_type_hints

from samples.findings.page_model import Plot

# Raised where a writer of today could not read what an earlier one wrote.
FORMAT = 1


class BlockKind(StrEnum):
    """What a block of a report is about; stored with it."""

    SUMMARY = "summary"
    COVERAGE = "coverage"
    SOURCES = "sources"
    FINDING = "finding"
    PLAN = "plan"
    METHODS = "methods"
    REFERENCES = "references"
    APPENDIX = "appendix"


class ColumnKind(StrEnum):
    """How a column is set: numbers to the right, words to the left, intervals also drawn."""

    HEAD = "head"
    WORD = "word"
    SENTENCE = "sentence"
    NUMBER = "number"
    INTERVAL = "interval"


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with its ends, to be drawn beside its text; an end or the value may be missing."""

    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. Neighbors of one ``group`` share a head above their own.

    ``low`` and ``high`` are the ends of the scale that intervals of the column are drawn on.
    """

    head: str
    kind: ColumnKind
    group: str = ""
    low: float = 0.0
    high: float = 0.0


@dataclass(frozen=True, slots=True)
class Cell:
    """A value as it is read. ``strong`` words stand before ``text``; ``interval`` may be drawn."""

    text: str
    strong: str = ""
    interval: Interval | None = None

    @property
    def words(self) -> str:
        """Return everything that is read, as one text."""
        return f"{self.strong} {self.text}".strip()


@dataclass(frozen=True, slots=True)
class Table:
    """A table: the heads of its columns repeat on each page that it runs over to.

    ``number`` counts the tables of the whole report.
    """

    number: int
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""

    @property
    def name(self) -> str:
        return f"Table {self.number}"


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as the findings describe it: panels on common axes, in ink alone.

    `samples.findings.figures` draws ``plot``; its points are thinned by now, and no dot has a key.
    ``alt`` says in words what is seen. ``number`` counts the figures of the whole report.
    """

    number: int
    caption: str
    alt: str
    plot: Plot

    @property
    def name(self) -> str:
        return f"Figure {self.number}"


@dataclass(frozen=True, slots=True)
class Passage:
    """Paragraphs under a small heading, or points of a list where it is ``bulleted``."""

    heading: str
    paragraphs: tuple[str, ...]
    bulleted: bool = False


Part: TypeAlias = Figure | Table | Passage


@dataclass(frozen=True, slots=True)
class Block:
    """One block of a report, in the order in which it is read.

    Attributes
    ----------
    key : str
        Names the block inside its report, for bookmarks.
    kind : BlockKind
        What it is about.
    number : int
        Its place, from 1.
    heading : str
        Its name, such as "Growth".
    choice : str
        The fish that it is of, in words; empty where it is of no choice.
    own_words : tuple of str
        Paragraphs that its authors wrote above it, printed as typed.
    answer : str
        The finding in a line, without a full stop; the title of a slide.
    paragraphs : tuple of str
        What else is said before the figures.
    parts : tuple of Figure, Table or Passage
        Figures, tables and passages, in order.
    cautions : tuple of str
        Sources of bias, and what to do about them.
    excluded : tuple of str
        Fish that are not counted, and why.
    sources : tuple of str
        Publications that it rests on, in full; empty where the report lists them in a block of
        its own.
    missing : str
        Why the data cannot carry this block: it stands in the place of all but the own words.
    topic, query : str
        The finding that it was made from and its choice, as they stand in the address of its page.
    """

    key: str
    kind: BlockKind
    number: int
    heading: str
    choice: str = ""
    own_words: tuple[str, ...] = ()
    answer: str = ""
    paragraphs: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    cautions: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    missing: str = ""
    topic: str = ""
    query: str = ""

    @property
    def figures(self) -> tuple[Figure, ...]:
        return tuple(one for one in self.parts if isinstance(one, Figure))

    @property
    def tables(self) -> tuple[Table, ...]:
        return tuple(one for one in self.parts if isinstance(one, Table))


@dataclass(frozen=True, slots=True)
class Poster:
    """The season for anglers, on one page: numbers with what each counts, and one figure."""

    numbers: tuple[tuple[str, ...], ...]
    sentences: tuple[str, ...] = ()
    heading: str = ""
    caption: str = ""
    plot: Plot | None = None


@dataclass(frozen=True, slots=True)
class Document:
    """A finished report.

    ``season`` is the name of the season; ``made_at`` is local time at the lake, in ISO 8601, and
    ``made_on`` the same day as people write it. ``revision`` marks the data that it was made of,
    ``version`` the program that made it. ``paper`` is "letter" or "a4". ``authors`` are the people
    who wrote it, never donors. ``words`` are the authors' own words on the first page.
    ``poster`` is the page for anglers that goes with it; none where no fish has an age.
    """

    title: str
    lake: str
    season: str
    made_at: str
    made_on: str
    revision: str
    version: str
    blocks: tuple[Block, ...]
    draft: int = 1
    language: str = "en-US"
    paper: str = "letter"
    authors: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    poster: Poster | None = None
    format: int = FORMAT

    @property
    def imprint(self) -> str:
        """Return what stands at the foot of every page."""
        return f"Made {self.made_on}. Data revision {self.revision[:8]}. Earstone {self.version}"


class CannotReadDocument(Exception):
    """What is kept is no document that this program can read."""


# ---------- As JSON ----------

# Several types in one place say which they are.
_TAG = "type"
_TAGGED: dict[str, type] = {one.__name__: one for one in (Figure, Table, Passage)}


def as_json(document: Document) -> str:
    """Write a document as JSON, the same for the same document."""
    return json.dumps(_encode(document), ensure_ascii=False, allow_nan=False, sort_keys=True)


def read_json(text: str | bytes) -> Document:
    """Read a document back.

    :raises CannotReadDocument: if it is no document, or one of a later program
    """
    try:
        found = json.loads(text)
        if found["format"] > FORMAT:
            raise CannotReadDocument("A later version of Earstone made this report.")
        document: Document = _decode(Document, found)
    except (KeyError, TypeError, ValueError) as problem:
        raise CannotReadDocument("This is not a report.") from problem
    return document


def _encode(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        found = {one.name: _encode(getattr(value, one.name)) for one in fields(value)}
        name = type(value).__name__
        return found | {_TAG: name} if type(value) is _TAGGED.get(name) else found
    if isinstance(value, Mapping):
        return {str(key): _encode(one) for key, one in value.items()}
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        return float(value)
    return [_encode(one) for one in value]


def _decode(kind: Any, value: Any) -> Any:
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return _decode_one_of(inner, value)
    if origin is tuple:
        return tuple(_decode(inner[0], one) for one in value)
    if origin in (list, Sequence):
        return [_decode(inner[0], one) for one in value]
    if origin is Mapping:
        return {inner[0](key): _decode(inner[1], one) for key, one in value.items()}
    if isinstance(kind, type) and is_dataclass(kind):
        hints = get_type_hints(kind)
        known = {one.name for one in fields(kind)} & value.keys()
        return kind(**{name: _decode(hints[name], value[name]) for name in known})
    if kind is float and isinstance(value, int):
        return float(value)
    return kind(value) if isinstance(kind, type) and issubclass(kind, StrEnum) else value


def _decode_one_of(kinds: tuple[Any, ...], value: Any) -> Any:
    if value is None:
        return None
    if isinstance(value, dict) and _TAG in value:
        return _decode(_TAGGED[value[_TAG]], value)
    return _decode(next(one for one in kinds if one is not types.NoneType), value)
