"""Where photos and pictures are kept: a folder of this machine, or a bucket that speaks S3.

Nothing here imports what speaks S3: a site that keeps a folder does not install it.
"""

import os
from collections.abc import Mapping
from importlib.util import find_spec
from typing import Any
from urllib.parse import urlsplit

from django.core.exceptions import ImproperlyConfigured

FOLDER: Mapping[str, Any] = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
BUCKET = "fisheries.bucket.PrivateBucket"
# Each without EARSTONE_S3_, beside the bucket's own name.
WORDS = ("ENDPOINT", "REGION", "PREFIX", "ACCESS_KEY", "SECRET_KEY")


class FilesUnreachable(Exception):
    """The bucket did not answer, or refused us: nothing is known of the file that was asked for."""


def storages_for(bucket: str, options: Mapping[str, str | None]) -> dict[str, Any]:
    """Return the storages of uploads and of tiles.

    Tiles go where the pictures are: the worker that draws them may be on another machine.

    :raises ImproperlyConfigured: if a bucket is named that cannot be used
    """
    if not bucket:
        return {"default": dict(FOLDER), "tiles": dict(FOLDER)}
    _refuse_unfit(options)
    storage = {"BACKEND": BUCKET, "OPTIONS": _options(bucket, options)}
    return {"default": storage, "tiles": storage}


def settings_without_bucket() -> list[str]:
    """Return which settings of a bucket are set though no bucket is named."""
    if os.environ.get("EARSTONE_S3_BUCKET"):
        return []
    names = [f"EARSTONE_S3_{word}" for word in WORDS]
    return [name for name in [*names, "EARSTONE_S3_SECRET_KEY_FILE"] if os.environ.get(name)]


def _refuse_unfit(options: Mapping[str, str | None]) -> None:
    missing = [name for name in ("storages", "boto3") if find_spec(name) is None]
    if missing:
        raise ImproperlyConfigured(
            "EARSTONE_S3_BUCKET is set, but the packages that speak S3 are not installed. "
            "Run pip install --require-hashes -r requirements-s3.txt."
        )
    endpoint = urlsplit(options["ENDPOINT"] or "https://default")
    if endpoint.scheme not in {"https", "http"} or not endpoint.netloc:
        raise ImproperlyConfigured(
            f"EARSTONE_S3_ENDPOINT is {options['ENDPOINT']!r}. Set the address of the S3 service, "
            "such as https://s3.example.org; leave it out for Amazon S3."
        )
    if bool(options["ACCESS_KEY"]) != bool(options["SECRET_KEY"]):
        there, gone = ("ACCESS", "SECRET") if options["ACCESS_KEY"] else ("SECRET", "ACCESS")
        raise ImproperlyConfigured(
            f"EARSTONE_S3_{there}_KEY is set and EARSTONE_S3_{gone}_KEY is not. Set both, or "
            "neither where the machine itself has access."
        )


def _options(bucket: str, options: Mapping[str, str | None]) -> dict[str, str | None]:
    return {
        "bucket_name": bucket,
        "endpoint_url": options["ENDPOINT"] or None,
        "region_name": options["REGION"] or None,
        "location": (options["PREFIX"] or "").strip("/"),
        "access_key": options["ACCESS_KEY"] or None,
        "secret_key": options["SECRET_KEY"] or None,
    }
