"""How the API knows a phone: by a token of its own, not by session and CSRF."""

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from samples.accounts.links import (
    day_of_links,
    note_heard,
    phone_of,
    phone_that_may_send,
)
from samples.models import Phone, User


class PhoneTokenAuthentication(BaseAuthentication):
    """``Authorization: Token ...``, the token being one phone's."""

    keyword = "Token"
    find_phone = staticmethod(phone_of)

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


class SendingTokenAuthentication(PhoneTokenAuthentication):
    """The same for what was written down: taken for a while after the phone's link ended."""

    find_phone = staticmethod(phone_that_may_send)


class PhoneTokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "samples.accounts.api_auth.PhoneTokenAuthentication"
    match_subclasses = True
    name = "phoneToken"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "The word Token, a space, and the phone's token.",
        }
