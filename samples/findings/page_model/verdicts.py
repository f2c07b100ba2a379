"""A verdict a group, side by side: what keeps fish from a limit, and what it would change."""

from collections.abc import Sequence
from dataclasses import dataclass

from samples.findings.page_model.cells import Cell, Estimate, Missing


@dataclass(frozen=True, slots=True)
class GroupVerdict:
    """A verdict for one group.

    ``code`` chooses its symbol, ``cause`` is its word. ``answer`` is a yes or no and ``why`` the
    sentence behind it. ``change`` is drawn on a scale that all groups share; ``others`` are the
    same at the other limits. ``settle`` says which fish or figures would settle an open one.
    ``says`` is the page's own sentence of this group, at length.
    """

    group: str
    code: str
    cause: str
    answer: str
    why: str
    change: Estimate | Missing
    others: Sequence[Cell] = ()
    settle: str = ""
    says: str = ""


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Verdicts of all groups, with the heads of their columns."""

    what: str
    question: str
    change_head: str
    other_heads: Sequence[str]
    rows: Sequence[GroupVerdict]
