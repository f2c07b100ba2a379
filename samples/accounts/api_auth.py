"""How the API knows a phone: by a token of its own, not by session and CSRF."""

from collections.abc import Callable

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from samples.accounts.links import day_of_links, note_heard, phone_of
from samples.models import Phone, User


class PhoneTokenAuthentication(BaseAuthentication):
    """``Authorization: Token ...``, the token being one phone's."""

    keyword = "Token"

    def __init__(self, find_phone: Callable[..., Phone | None] = phone_of) -> None:
        self.find_phone = find_phone

    def authenticate(self, request: Request) -> tuple[User, Phone] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != b"token":
            return None
        phone = None
        now = timezone.now()
        if len(words) == 2:
            phone = self.find_phone(words[1].decode("latin-1"), today=day_of_links(now))
        if phone is None:
            raise AuthenticationFailed(
                "This phone is not signed in. Open your personal link again; "
                "nothing on the phone is lost."
            )
        note_heard(phone, now=now)
        return phone.person, phone

    def authenticate_header(self, request: Request) -> str:
        return self.keyword


class PhoneTokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "samples.accounts.api_auth.PhoneTokenAuthentication"
    name = "phoneToken"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "The word Token, a space, and the phone's token.",
        }
