"""Settings that work but turn something off: said at every command that checks them."""

from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core import checks

from fisheries.files import settings_without_bucket


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


@checks.register("files")
def check_bucket(**kwargs: Any) -> list[checks.CheckMessage]:
    """Warn about settings of a bucket where none is named."""
    names = settings_without_bucket()
    if not names:
        return []
    return [
        checks.Warning(
            f"{names[0]} is set and EARSTONE_S3_BUCKET is not: photos and pictures stay in the "
            f"folder {settings.MEDIA_ROOT}.",
            hint="Set EARSTONE_S3_BUCKET to the bucket's name, or unset the others.",
            id="earstone.W003",
        )
    ]
