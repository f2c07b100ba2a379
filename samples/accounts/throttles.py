"""How often phones may ask: far above a real day, so that only a broken one ever meets it."""

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
