"""The phone's doors: what it wrote down comes in, what it needs to ask goes out."""

import logging
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, cast
from uuid import UUID

from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from drf_spectacular.utils import extend_schema
from rest_framework.authentication import BaseAuthentication, SessionAuthentication
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied
from rest_framework.parsers import BaseParser
from rest_framework.permissions import AllowAny, BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from samples.accounts import links, security_log
from samples.accounts.api_auth import PhoneTokenAuthentication
from samples.accounts.client_address import caller_of
from samples.accounts.middleware import LINK_IN_SESSION
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import fish_logged_by
from samples.accounts.throttles import PerPerson, PerPhone
from samples.models import PersonalLink, Phone, SecurityEvent, User
from samples.ramp import queries, services
from samples.ramp.entry import Entry, Unreadable, entry_id_of, read
from samples.ramp.serializers import (
    NewPhone,
    Outbox,
    PhoneMade,
    PhotoRefused,
    Result,
    Results,
    Trouble,
    document_of,
)

log = logging.getLogger(__name__)

# Raised when phones with an older app must be renewed; until then their entries are taken.
OLDEST_APP = 1
# What a phone is asked to wait when the database is in trouble: an upgrade takes about that long.
TRY_LATER_AFTER_S = 60


class MayLogFish(BasePermission):
    """Only a person who may log fish somewhere has anything to send."""

    message = "You are not set up to log fish. Ask the biologist; nothing on the phone is lost."

    def has_permission(self, request: Request, view: APIView) -> bool:
        return isinstance(request.user, User) and bool(
            lakes_with_permission(request.user, Permission.LOG_FISH)
        )


class OutboxView(APIView):
    """Takes in what phones wrote down.

    Each entry gets an answer of its own, so one bad entry never blocks the rest. The phone
    may forget an entry on ``logged``, ``already_logged`` or ``held``; a ``refused`` one goes
    back to the person. The whole batch may be sent again at any time. On 503 nothing of it was
    kept: it comes again, as it is, after the seconds that ``Retry-After`` says.

    For 60 days after its link ended a phone still sends what was written before. What was
    written later gets no answer and stays on the phone, until a new link is opened there.
    """

    permission_classes = [MayLogFish]
    throttle_classes = [PerPhone, PerPerson]

    def get_authenticators(self) -> list[BaseAuthentication]:
        return [PhoneTokenAuthentication(links.phone_that_may_send)]

    @extend_schema(request=Outbox, responses={200: document_of(Results), 503: document_of(Trouble)})
    def post(self, request: Request) -> Response:
        outbox = Outbox(data=request.data)
        outbox.is_valid(raise_exception=True)
        phone = request.auth if isinstance(request.auth, Phone) else None
        read_entries = [read_or_answer(raw) for raw in outbox.validated_data["entries"]]
        if phone is not None:
            read_entries = written_in_time(read_entries, phone)
        try:
            answers = services.ingest(
                [entry for entry in read_entries if isinstance(entry, Entry)],
                author=sender(request),
                phone=phone,
                now=timezone.now(),
            )
        except services.TryLater as problem:
            log.exception("A batch of %d entries could not be ingested", len(read_entries))
            wait = {"Retry-After": str(TRY_LATER_AFTER_S)}
            return Response({"detail": str(problem)}, status=503, headers=wait)
        in_turn = iter(answers)
        results = [
            as_result(next(in_turn)) if isinstance(one, Entry) else one for one in read_entries
        ]
        return Response(Results(results=results, oldest_app=OLDEST_APP))


@method_decorator(gzip_page, name="dispatch")
class PickListsView(APIView):
    """Tells a phone its lakes, arms, species and the vials in its person's hands."""

    permission_classes = [MayLogFish]

    @extend_schema(responses={200: document_of(queries.PickLists)})
    def get(self, request: Request) -> Response:
        return Response(queries.pick_lists(sender(request), now=timezone.now()))


@method_decorator(gzip_page, name="dispatch")
class MyFishView(APIView):
    """Tells a phone its person's own fish, and how old they were."""

    permission_classes = [MayLogFish]

    @extend_schema(responses={200: document_of(queries.OwnFishAndMessages)})
    def get(self, request: Request) -> Response:
        person = sender(request)
        fish = queries.my_fish_for_phone(person, now=timezone.now())
        return Response(queries.OwnFishAndMessages(**fish, messages=queries.messages_to(person)))


class AnyPhoto(BaseParser):
    """Takes a body as it is, no more of it than a photo may have."""

    media_type = "image/*"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        del media_type, parser_context
        return stream.read(services.MOST_PHOTO_BYTES + 1)


class PhotoView(APIView):
    """Takes in the photo of a fish, after the fish itself: it never holds a fact up.

    The same photo may be sent again at any time. On 404 its fish is not on record yet; on 400 it
    cannot be kept, and ``code`` says why.
    """

    parser_classes = [AnyPhoto]
    permission_classes = [MayLogFish]
    throttle_classes = [PerPhone, PerPerson]

    def get_authenticators(self) -> list[BaseAuthentication]:
        return [PhoneTokenAuthentication(links.phone_that_may_send)]

    @extend_schema(
        request={"image/jpeg": bytes},
        responses={200: None, 201: None, 400: document_of(PhotoRefused), 404: None},
    )
    def put(self, request: Request, entry_id: UUID, sha256: str) -> Response:
        fish = fish_logged_by(sender(request)).filter(entry_id=entry_id).first()
        if fish is None:
            return Response({"detail": "This fish is not on record yet."}, status=404)
        phone = request.auth if isinstance(request.auth, Phone) else None
        sent: Any = request.data
        data = sent if isinstance(sent, bytes) else b""
        try:
            is_new = services.keep_photo(
                fish, data, sha256=sha256, author=sender(request), phone=phone, now=timezone.now()
            )
        except services.CannotKeepPhoto as problem:
            return Response(PhotoRefused(code=problem.code, detail=problem.sentence), status=400)
        return Response(status=201 if is_new else 200)


@method_decorator(gzip_page, name="dispatch")
class PhonesView(APIView):
    """Gives a phone a token of its own: for a personal link, or for whoever is signed in.

    A home-screen app and the browser beside it share no sign-in on some phones, so the link
    can be opened or pasted in either.
    """

    authentication_classes = [SessionAuthentication]
    permission_classes = [AllowAny]

    @extend_schema(request=NewPhone, responses={201: document_of(PhoneMade)})
    def post(self, request: Request) -> Response:
        form = NewPhone(data=request.data)
        form.is_valid(raise_exception=True)
        now = timezone.now()
        person, link = self._whose(request, form.validated_data.get("link", ""), now)
        if not lakes_with_permission(person, Permission.LOG_FISH):
            raise PermissionDenied(MayLogFish.message)
        made = links.make_phone(
            person, now=now, link=link, name=form.validated_data.get("name", "")
        )
        kind = SecurityEvent.Kind.PHONE_ADDED
        security_log.note(kind, caller=caller_of(request), now=now, person=person)
        lists = queries.pick_lists(person, now=now)
        answer = PhoneMade(token=made.token, person=lists["person"], lists=lists)
        return Response(answer, status=201)

    def _whose(
        self, request: Request, words: str, now: datetime
    ) -> tuple[User, PersonalLink | None]:
        if words:
            try:
                link = links.use_link(_token_in(words), now=now, today=links.day_of_links(now))
            except links.LinkRefused as problem:
                raise PermissionDenied(str(problem)) from problem
            return link.person, link
        if not isinstance(request.user, User):
            raise PermissionDenied("Open your personal link, or sign in first.")
        used = PersonalLink.objects.filter(pk=request.session.get(LINK_IN_SESSION) or 0)
        return request.user, used.first()


def _token_in(words: str) -> str:
    """Take the token out of a link as it was pasted, or of a message with the link in it."""
    found = re.search(r"/me/([\w-]+)", words)
    return found[1] if found else words.strip()


def sender(request: Request) -> User:
    """Return the person whose phone it is; `MayLogFish` let nobody else in."""
    return cast(User, request.user)


def written_in_time(entries: list[Entry | Result], phone: Phone) -> list[Entry | Result]:
    """Leave out what was written after the phone's link ended."""
    in_time = [
        one
        for one in entries
        if not isinstance(one, Entry) or links.was_written_in_time(phone, one.written_at)
    ]
    if not in_time:
        raise AuthenticationFailed(
            "This link has ended. Open your new link; nothing on the phone is lost."
        )
    return in_time


def read_or_answer(payload: Any) -> Entry | Result:
    """Read an entry; where that cannot be done, give the answer that goes back."""
    if not isinstance(payload, Mapping):
        errors = {"kind": ["An entry is a set of named words."]}
    else:
        try:
            return read(payload)
        except Unreadable as problem:
            errors = problem.errors
    return {
        "entry_id": entry_id_of(payload),
        "outcome": services.Outcome.REFUSED,
        "reason": "unreadable",
        "errors": errors,
    }


def as_result(answer: services.Answer) -> Result:
    return {
        "entry_id": str(answer.entry_id),
        "outcome": answer.outcome,
        "reason": answer.reason,
        "errors": answer.errors,
    }
