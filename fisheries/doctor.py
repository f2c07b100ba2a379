"""What is set up wrongly, in words: for `manage.py doctor`, and as a page for the administrator.

Probes answer machines that watch a running site. This answers a person who sets one up, or who
wonders why something does not work: what was found, and what to do about it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from tempfile import TemporaryFile
from urllib.parse import urlsplit

from django.conf import settings
from django.core import checks, mail
from django.db import Error, connection
from django.http import HttpRequest  # noqa: TID251 - what proxies passed on
from django.http.request import validate_host  # noqa: TID251 - as requests are judged

from fisheries import probes
from fisheries.files import BUCKET
from samples.maintenance import postgresql
from samples.maintenance.errors import UnfitTools
from samples.models import Fish

# Clocks of two machines that keep time differ by less.
CLOCKS_APART = timedelta(seconds=5)
# What was logged by a phone comes in with the site's own time.
AHEAD = timedelta(minutes=5)


class State(StrEnum):
    """How it stands with one thing; the value is read on screen."""

    FINE = "Fine"
    LOOK = "Look at this"
    WRONG = "Wrong"


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What was found of one thing, and what to do where it is not fine."""

    about: str
    state: State
    found: str
    remedy: str = ""


Examination = Callable[[], Iterator[Diagnosis]]


def examine(*, request: HttpRequest | None = None, mail_too: bool = False) -> list[Diagnosis]:
    """Look at everything that is set; what a proxy passes on needs a request that came by it.

    ``mail_too`` opens a connection to the mail server, which may take as long as
    ``EMAIL_TIMEOUT``.
    """
    found = [one for look in EXAMINATIONS for one in look()]
    found += look_at_mail(connect=mail_too)
    return found + (list(look_at_proxies(request)) if request else [])


def _probed(about: str, check: probes.Check, bad: State, remedy: str = "") -> Iterator[Diagnosis]:
    try:
        yield Diagnosis(about, State.FINE, check())
    except probes.CheckFailed as problem:
        yield Diagnosis(about, bad, str(problem), remedy)


def look_at_database() -> Iterator[Diagnosis]:
    wrong = State.WRONG
    yield from _probed("Database", probes.check_database, wrong, "Check DATABASE_URL.")
    yield from _probed("Writing", probes.check_writable, wrong, "Check rights and free disk space.")
    yield from _probed("Tables", probes.check_migrations, wrong)


def look_at_address() -> Iterator[Diagnosis]:
    """Look at the address that labels and personal links lead to, and who may use it."""
    if settings.LOCAL:
        yield Diagnosis(
            "Key",
            State.LOOK,
            "EARSTONE_SECRET_KEY is not set: only this machine reaches the site, and people are "
            "signed out at each start.",
            "For a site that others use, run sh docker/make_env.sh HOST.",
        )
    warnings = [one for one in checks.run_checks(tags=[checks.Tags.urls]) if _is_ours(one)]
    for one in warnings:
        yield Diagnosis("Address on labels", State.LOOK, one.msg, one.hint or "")
    if warnings:
        return
    address = settings.PUBLIC_ADDRESS
    if not address:
        yield Diagnosis(
            "Address on labels",
            State.LOOK,
            "EARSTONE_PUBLIC_ADDRESS is not set: labels carry no code to scan.",
            "Set it to the address that people open, such as https://samples.example.org.",
        )
        return
    host = urlsplit(address).hostname or ""
    if validate_host(host, settings.ALLOWED_HOSTS):
        yield Diagnosis("Address on labels", State.FINE, address)
        return
    yield Diagnosis(
        "Address on labels",
        State.WRONG,
        f"Labels lead to {host}, but EARSTONE_HOSTS does not name it: scanned labels open no page.",
        f"Add {host} to EARSTONE_HOSTS.",
    )


def _is_ours(one: checks.CheckMessage) -> bool:
    return str(one.id).startswith("earstone.")


def look_at_clocks() -> Iterator[Diagnosis]:
    """Compare the clocks of the site and its database, and both with what was logged."""
    try:
        apart = _clocks_apart()
        # The last row, not the latest time: no index is kept for a question asked twice a year.
        newest = Fish.objects.order_by("-pk").values_list("received_at", flat=True).first()
    except Error:
        yield Diagnosis("Clock", State.LOOK, "Not compared: the database cannot be reached.")
        return
    now = datetime.now(UTC)
    if apart is not None and abs(apart) > CLOCKS_APART:
        yield Diagnosis(
            "Clock",
            State.WRONG,
            f"The clocks of this machine and of the database are {abs(apart).total_seconds():.0f} "
            "seconds apart.",
            "Keep both by network time (such as chrony).",
        )
    elif newest is not None and newest > now + AHEAD:
        yield Diagnosis(
            "Clock",
            State.WRONG,
            f"The newest fish came in at {newest:%Y-%m-%d %H:%M} UTC, but it is "
            f"{now:%Y-%m-%d %H:%M} UTC by this machine's clock.",
            "Set the clock. It was ahead before, or is behind now.",
        )
    else:
        yield Diagnosis("Clock", State.FINE, f"{now:%Y-%m-%d %H:%M:%S} UTC")


def _clocks_apart() -> timedelta | None:
    """Return by how much the database's clock is ahead; None where it is this machine's own."""
    if connection.vendor != "postgresql":
        return None
    with connection.cursor() as cursor:
        before = datetime.now(UTC)
        cursor.execute("SELECT clock_timestamp()")
        [theirs] = cursor.fetchone()
    middle = before + (datetime.now(UTC) - before) / 2
    apart: timedelta = theirs - middle
    return apart


def look_at_storage() -> Iterator[Diagnosis]:
    about = "Photos and pictures"
    for one in checks.run_checks(tags=["files"]):
        yield Diagnosis(about, State.LOOK, one.msg, one.hint or "")
    if settings.STORAGES["default"]["BACKEND"] == BUCKET:
        remedy = "Check the EARSTONE_S3_ settings, and that this machine reaches the bucket."
        yield from _probed(about, probes.check_files, State.WRONG, remedy)
    else:
        yield from _writable(about, Path(settings.MEDIA_ROOT), "EARSTONE_MEDIA")
    yield from _probed("Disk", probes.check_disk, State.LOOK, "Free some, or give it a larger one.")


def _writable(about: str, folder: Path, name: str) -> Iterator[Diagnosis]:
    """See that a file can be written where uploads go; a folder that is not there yet can be."""
    there = next(one for one in (folder, *folder.parents) if one.exists())
    try:
        with TemporaryFile(dir=there) as file:
            file.write(b"0")
    except OSError as problem:
        yield Diagnosis(
            about,
            State.WRONG,
            f"Nothing can be written to {folder}: {problem.strerror}.",
            f"Give the site's user the right to write there, or set {name} to another folder.",
        )
        return
    yield Diagnosis(about, State.FINE, f"{folder} can be written.")


def look_at_backups() -> Iterator[Diagnosis]:
    yield from _probed("Backups", probes.check_backup, State.LOOK, "Run manage.py backup now.")
    if connection.vendor != "postgresql":
        return
    try:
        postgresql.check_tools(connection)
    except (UnfitTools, Error) as problem:
        yield Diagnosis("Backup programs", State.LOOK, str(problem))
    else:
        yield Diagnosis("Backup programs", State.FINE, "pg_dump is as new as the server.")


def look_at_worker() -> Iterator[Diagnosis]:
    yield from _probed("Worker", probes.check_worker, State.WRONG)


def look_at_static_files() -> Iterator[Diagnosis]:
    if settings.LOCAL:
        return
    manifest = Path(settings.STATIC_ROOT, "staticfiles.json")
    if manifest.exists():
        yield Diagnosis("Styles and scripts", State.FINE, "published")
        return
    yield Diagnosis(
        "Styles and scripts",
        State.WRONG,
        f"{settings.STATIC_ROOT} holds none: pages open without them.",
        "Run manage.py publish_static_files.",
    )


def look_at_mail(*, connect: bool) -> Iterator[Diagnosis]:
    if not settings.EMAIL_HOST:
        yield Diagnosis(
            "Mail",
            State.LOOK,
            "No mail server is set: you hand out password links yourself.",
            "To send them, set EARSTONE_MAIL_HOST and its like.",
        )
        return
    server = f"{settings.EMAIL_HOST}, port {settings.EMAIL_PORT}"
    if not connect:
        yield Diagnosis("Mail", State.FINE, f"{server}. Not tried from this page.")
        return
    try:
        with mail.get_connection():
            pass
    except OSError as problem:
        # Every failure of the library that speaks to mail servers is one of these.
        yield Diagnosis(
            "Mail",
            State.WRONG,
            f"{server} does not let this site in: {problem}",
            "Check EARSTONE_MAIL_HOST, EARSTONE_MAIL_PORT, EARSTONE_MAIL_USER and its password.",
        )
        return
    yield Diagnosis("Mail", State.FINE, f"{server} lets this site in.")


def look_at_proxies(request: HttpRequest) -> Iterator[Diagnosis]:
    """Compare what proxies passed on with how many are set."""
    passed = request.headers.get("X-Forwarded-For", "")
    hops = len([one for one in passed.split(",") if one.strip()])
    count = settings.PROXY_COUNT
    if count and hops < count:
        yield Diagnosis(
            "Proxy",
            State.WRONG,
            f"EARSTONE_PROXY_COUNT is {count}, but X-Forwarded-For names {hops or 'no'} "
            f"address{'' if hops == 1 else 'es'}: people share one lock-out.",
            "Have each proxy add to X-Forwarded-For, or set the count to how many do.",
        )
    elif hops and not count:
        yield Diagnosis(
            "Proxy",
            State.WRONG,
            "A proxy stands in front, but EARSTONE_PROXY_COUNT is 0: everybody seems to come from "
            "the proxy's address, and shares one lock-out.",
            "Set EARSTONE_PROXY_COUNT to the number of your own proxies, such as 1.",
        )
    else:
        words = "none" if not count else f"{count} in front; the caller is known"
        yield Diagnosis("Proxy", State.FINE, words)
    host = urlsplit(settings.PUBLIC_ADDRESS).netloc
    if host and request.get_host() != host:
        yield Diagnosis(
            "Host",
            State.LOOK,
            f"You opened {request.get_host()}, but labels and links lead to {host}.",
            "If both lead here, nothing is wrong. If not, have the proxy pass the Host header on.",
        )


EXAMINATIONS: tuple[Examination, ...] = (
    look_at_database,
    look_at_address,
    look_at_clocks,
    look_at_storage,
    look_at_backups,
    look_at_worker,
    look_at_static_files,
)
