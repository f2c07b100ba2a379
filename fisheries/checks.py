"""Settings that work but turn something off: said at every command that checks them."""

from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core import checks


@checks.register(checks.Tags.urls)
def check_public_address(**kwargs: Any) -> list[checks.CheckMessage]:
    """Warn about a public address that is more than a scheme and a host."""
    address = settings.PUBLIC_ADDRESS
    if not address:
        return []
    parts = urlsplit(address)
    if parts.scheme not in {"https", "http"} or not parts.netloc:
        return [
            checks.Warning(
                f"EARSTONE_PUBLIC_ADDRESS is {address!r}: labels carry no code, and personal "
                "links lead to the address that the page was opened by.",
                hint="Set a scheme and a host, such as https://samples.example.org.",
                id="earstone.W001",
            )
        ]
    if parts.path or parts.query or parts.fragment:
        return [
            checks.Warning(
                f"EARSTONE_PUBLIC_ADDRESS is {address!r}, with a path: labels carry no code, and "
                "personal links lead below that path, where this site has no pages.",
                hint=f"Give the site a host name of its own and set https://{parts.netloc}.",
                id="earstone.W002",
            )
        ]
    return []
