"""Results of computations, in a cache that every process of the site shares."""

import pickle
import zlib
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.core.cache import BaseCache, caches

from fisheries import __version__

KEPT_S = 24 * 60 * 60
COSTS_KEPT_S = 30 * KEPT_S
ALIVE, ALIVE_S = "worker-alive", 60


def _store() -> BaseCache:
    return caches["results"]


@cache
def program_version() -> str:
    """Return the version with a digest of the sources: results of other code are not ours."""
    digest = sha256()
    for path in sorted(Path(__file__).resolve().parent.parent.rglob("*.py")):
        digest.update(path.read_bytes())
    return f"{__version__}-{digest.hexdigest()[:12]}"


def digest(*parts: object) -> str:
    """Return a short name for what is too long for a key."""
    return sha256(repr(parts).encode()).hexdigest()


def result_key(kind: str, key: str, revision: str) -> str:
    """Return where the result of a question lies, of these data and this program."""
    return digest(kind, key, revision, program_version())


def load_result(key: str) -> Any:
    """Return a result, or None where there is none any more."""
    packed: bytes | None = _store().get(key) if key else None
    return None if packed is None else pickle.loads(zlib.decompress(packed))  # noqa: S301 - ours


def save_result(key: str, result: object) -> None:
    """Keep a result; packed, for figures are long texts."""
    _store().set(key, zlib.compress(pickle.dumps(result)), KEPT_S)


def clear_results() -> None:
    """Forget everything: the database is not the one that the results were of."""
    _store().clear()


@dataclass(frozen=True, slots=True)
class PastCost:
    """What a question cost the last time: of how many fish, in CPU seconds."""

    size: int
    seconds: float


def load_cost(key: str) -> PastCost | None:
    """Return what a question cost the last time, if that is known."""
    cost: PastCost | None = _store().get(f"cost-{key}-{program_version()}")
    return cost


def save_cost(key: str, cost: PastCost) -> None:
    _store().set(f"cost-{key}-{program_version()}", cost, COSTS_KEPT_S)


def report_alive(now: datetime) -> None:
    """Note that a supervisor of workers is there; the note goes by itself."""
    _store().set(ALIVE, now, ALIVE_S)


def worker_seen_at() -> datetime | None:
    """Return when a supervisor of workers was last heard of, if it was within the minute."""
    seen: datetime | None = _store().get(ALIVE)
    return seen
