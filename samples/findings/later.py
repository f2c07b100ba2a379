"""Long work done beside the pages: begun once, its result kept where every page looks."""

import logging
from collections.abc import Callable
from threading import Thread

from django.core.cache import cache
from django.db import connection

from samples.findings.shown import Page

log = logging.getLogger(__name__)
KEPT_S = 60 * 60
GIVEN_UP_AFTER_S = 5 * 60


def begin(known: str, work: Callable[[], Page]) -> bool:
    """Begin work that nobody has begun yet, in a thread; say whether to wait for it.

    Work that failed is not begun again: the page does it itself, and says what is wrong.
    """
    if cache.get(f"{known}-failed"):
        return False
    if cache.add(f"{known}-begun", True, GIVEN_UP_AFTER_S):
        Thread(target=_do, args=(known, work), name=known, daemon=True).start()
    return True


def _do(known: str, work: Callable[[], Page]) -> None:
    try:
        cache.set(known, work(), KEPT_S)
    except Exception:
        log.exception("A finding could not be worked out.")
        cache.set(f"{known}-failed", True, GIVEN_UP_AFTER_S)
    finally:
        cache.delete(f"{known}-begun")
        connection.close()
