"""The phone's door to what is still needed."""

from typing import Any, cast

from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from drf_spectacular.plumbing import resolve_type_hint
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from samples.accounts.permissions import Permission, lakes_with_permission
from samples.models import User
from samples.targets.presenters.for_guides import NeededList, needed_list

NEEDED: dict[str, Any] = resolve_type_hint(NeededList)  # type: ignore[no-untyped-call]


class MayLogFish(BasePermission):
    """Only a person who may log fish somewhere is asked for any."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        return isinstance(request.user, User) and bool(
            lakes_with_permission(request.user, Permission.LOG_FISH)
        )


@method_decorator(gzip_page, name="dispatch")
class NeededView(APIView):
    """Tells a phone what is still needed from each arm of its person's lakes."""

    permission_classes = [MayLogFish]

    @extend_schema(responses={200: NEEDED})
    def get(self, request: Request) -> Response:
        lakes = lakes_with_permission(cast(User, request.user), Permission.LOG_FISH)
        return Response(needed_list(lakes, now=timezone.now()))
