"""Possible swapped vials of a lake, kept until its data change."""

import time

from samples.computations.results import (
    PastCost,
    load_cost,
    load_result,
    result_key,
    save_cost,
    save_result,
)
from samples.lab.presenters.possible_swaps import PossibleSwaps, find_possible_swaps
from samples.lab.presenters.vial_contents import contents_at
from samples.models import Lake, read_revision

KIND = "possible-swaps"
# A page that only counts them may take so long to find them, in CPU seconds.
ON_PAGE_S = 0.2


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
    last = load_cost(_cost_key(lake))
    if last is not None and last.seconds > ON_PAGE_S:
        return None
    return _find(lake, revision)


def _find(lake: Lake, revision: str) -> PossibleSwaps:
    # The revision was read before the data: what changes meanwhile is found anew.
    begun = time.thread_time()
    vials = contents_at(lake)
    found = find_possible_swaps(vials)
    save_cost(_cost_key(lake), PastCost(len(vials), time.thread_time() - begun))
    save_result(_key(lake, revision), found)
    return found


def _key(lake: Lake, revision: str) -> str:
    return result_key(KIND, str(lake.pk), revision)


def _cost_key(lake: Lake) -> str:
    return f"{KIND}-{lake.pk}"
