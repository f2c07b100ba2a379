"""How often phones may ask: far above a real day, so that only a broken one ever meets it."""

from django.core.cache import cache
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


def is_within(key: str, most: int, seconds: int) -> bool:
    """Count one more of something in a window of time; return whether it is within its limit.

    Each process of the site counts for itself, as for phones.
    """
    cache.add(key, 0, seconds)
    try:
        return cache.incr(key) <= most
    except ValueError:  # its time ended between the two
        return True
