"""How often phones may ask: far above a real day, so that only a broken one ever meets it."""

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from django.core.cache import caches
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView

from samples.models import Phone, User


class PerPhone(SimpleRateThrottle):
    """Requests of one phone."""

    scope = "phone"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        return f"throttle-phone-{request.auth.pk}" if isinstance(request.auth, Phone) else None


class PerPerson(SimpleRateThrottle):
    """Requests of all phones of one person."""

    scope = "person"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        return f"throttle-person-{request.user.pk}" if isinstance(request.user, User) else None


@dataclass(frozen=True, slots=True)
class Limit:
    """At most so many wrong tries of something in each hour, or day, of the clock (UTC)."""

    name: str
    most: int
    seconds: int

    def count(self, now: datetime) -> bool:
        """Count one more; return whether it is within the limit."""
        caches["tries"].add(self._key(now), 0, self.seconds)
        try:
            return caches["tries"].incr(self._key(now)) <= self.most
        except ValueError:  # its time ended between the two
            return True

    def is_reached(self, now: datetime) -> bool:
        """Return whether one more would be too many."""
        count: int = caches["tries"].get(self._key(now), 0)
        return count >= self.most

    def take_back(self, now: datetime) -> None:
        """Count one less."""
        with suppress(ValueError):  # its time has ended
            caches["tries"].decr(self._key(now))

    def seconds_left(self, now: datetime) -> int:
        """Return the seconds until it counts from nothing again."""
        return math.ceil(self.seconds - now.timestamp() % self.seconds)

    def _key(self, now: datetime) -> str:
        return f"{self.name}-{int(now.timestamp() // self.seconds)}"


def count_try(limits: Sequence[Limit], now: datetime) -> int:
    """Count a try against all limits; return the seconds to wait before it may be made, or 0.

    It is counted before it is made, so that many at once are no more than one after another. One
    that has to wait does not count, and one that was right is taken back by ``take_back_try``.
    """
    waits = [limit.seconds_left(now) for limit in limits if not limit.count(now)]
    if waits:
        take_back_try(limits, now)
    return max(waits, default=0)


def take_back_try(limits: Sequence[Limit], now: datetime) -> None:
    """Let a try count no more: it was right."""
    for limit in limits:
        limit.take_back(now)
