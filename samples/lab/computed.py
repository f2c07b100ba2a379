"""Possible swapped vials of a lake, kept until its data change.

What finds them is imported when it is first needed: a process that serves phones starts without
its libraries.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from samples.computations.results import load_result, result_key, save_result
from samples.models import Lake, read_revision

if TYPE_CHECKING:
    from samples.lab.presenters.possible_swaps import PossibleSwaps

KIND = "possible-swaps"
# Of so many vials a page that only counts them finds them: about 0.3 CPU seconds.
MOST_ON_PAGE = 8_000

# How many vials each lake had the last time: in this process, so that nothing is asked for it.
_vials_of: dict[int, int] = {}


def possible_swaps(lake: Lake) -> PossibleSwaps:
    """Return the possible swapped vials of a lake as its data stand."""
    revision = read_revision(lake.pk)
    found: PossibleSwaps | None = load_result(_key(lake, revision))
    return found if found is not None else _find(lake, revision)


def possible_swaps_at_hand(lake: Lake) -> PossibleSwaps | None:
    """Return the same for pages about other things: None where finding them takes long."""
    revision = read_revision(lake.pk)
    found: PossibleSwaps | None = load_result(_key(lake, revision))
    if found is not None:
        return found
    return None if _vials_of.get(lake.pk, 0) > MOST_ON_PAGE else _find(lake, revision)


def _find(lake: Lake, revision: str) -> PossibleSwaps:
    from samples.lab.presenters.possible_swaps import find_possible_swaps
    from samples.lab.presenters.vial_contents import contents_at

    # The revision was read before the data: what changes meanwhile is found anew.
    vials = contents_at(lake)
    _vials_of[lake.pk] = len(vials)
    found = find_possible_swaps(vials)
    if found.compared:
        save_result(_key(lake, revision), found)
    return found


def _key(lake: Lake, revision: str) -> str:
    return result_key(KIND, str(lake.pk), revision)
