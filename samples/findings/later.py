"""Long work done beside the pages: begun once in this process, its result kept in its cache."""

import logging
from collections.abc import Callable
from threading import Thread

from django.core.cache import cache
from django.db import connection

from samples.findings.shown import Page

log = logging.getLogger(__name__)
KEPT_S = 60 * 60
GIVEN_UP_AFTER_S = 5 * 60


def begin(known: str, choice: str, work: Callable[[], Page]) -> bool:
    """Begin work that nobody has begun yet, in a thread; say whether to wait for it.

    ``known`` names the result, of the data as they are; ``choice`` what was asked for: it is worked
    on once at a time, though fish come in meanwhile.

    Work that failed is not begun again: the page does it itself, and says what is wrong.
    """
    if cache.get(f"{known}-failed"):
        return False
    if cache.add(f"{choice}-begun", True, GIVEN_UP_AFTER_S):
        if cache.get(known) is not None:
            cache.delete(f"{choice}-begun")
            return False
        Thread(target=_do, args=(known, choice, work), name=known, daemon=True).start()
    return True


def _do(known: str, choice: str, work: Callable[[], Page]) -> None:
    try:
        cache.set(known, work(), KEPT_S)
    except Exception:
        log.exception("A finding could not be worked out.")
        cache.set(f"{known}-failed", True, GIVEN_UP_AFTER_S)
    finally:
        cache.delete(f"{choice}-begun")
        connection.close()
