"""The ramp's app: a shell without a person in it, the worker that keeps it, and its manifest.

The shell and its files are kept on the phone all together or not at all. Their version is
made of their content, so a phone never runs half of one and half of another.
"""

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from pathlib import PurePath
from uuid import UUID

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import etag, require_safe
from rjsmin import jsmin

from samples.ramp.entry import fields_for_phone
from samples.ramp.views.packed import packed
from samples.ramp.views.script import join_modules

STYLES = ("samples/tokens.css", "samples/base.css", "samples/phone.css")
SCRIPTS = (
    "samples/ramp/app.js",
    "samples/ramp/asking.js",
    "samples/ramp/away.js",
    "samples/ramp/board.js",
    "samples/ramp/closing.js",
    "samples/ramp/counted.js",
    "samples/ramp/dom.js",
    "samples/ramp/export.js",
    "samples/ramp/fields.js",
    "samples/ramp/fish.js",
    "samples/ramp/fish_facts.js",
    "samples/ramp/forget.js",
    "samples/ramp/head.js",
    "samples/ramp/help.js",
    "samples/ramp/install.js",
    "samples/ramp/last_fish.js",
    "samples/ramp/length_box.js",
    "samples/ramp/lengths.js",
    "samples/ramp/lists.js",
    "samples/ramp/more_facts.js",
    "samples/ramp/my_fish.js",
    "samples/ramp/needed.js",
    "samples/ramp/numbers.js",
    "samples/ramp/outbox.js",
    "samples/ramp/panels.js",
    "samples/ramp/party.js",
    "samples/ramp/photo_box.js",
    "samples/ramp/photo_store.js",
    "samples/ramp/photos.js",
    "samples/ramp/questions.js",
    "samples/ramp/reveal.js",
    "samples/ramp/rules.js",
    "samples/ramp/saved.js",
    "samples/ramp/scan.js",
    "samples/ramp/scheme.js",
    "samples/ramp/sender.js",
    "samples/ramp/spines.js",
    "samples/ramp/status.js",
    "samples/ramp/store.js",
    "samples/ramp/taps.js",
    "samples/ramp/told.js",
    "samples/ramp/trip.js",
    "samples/ramp/trip_rules.js",
    "samples/ramp/trips.js",
    "samples/ramp/undo.js",
    "samples/ramp/vials_left.js",
    "samples/ramp/waiting.js",
    "samples/ramp/weight_box.js",
    "samples/ramp/weights.js",
    "samples/ramp/whose.js",
    "samples/ramp/writing.js",
)
PICTURES = ("samples/mark.svg", "samples/spines.svg")
FILES = (*STYLES, *PICTURES)
ICONS = (
    ("samples/icon-192.png", "192x192", "any"),
    ("samples/icon-512.png", "512x512", "any"),
    ("samples/icon-maskable-512.png", "512x512", "maskable"),
)


@dataclass(frozen=True, slots=True)
class Shell:
    """The page as every phone gets it, and what stands for this state of it."""

    page: str
    script: str
    files: tuple[str, ...]
    version: str

    @property
    def script_version(self) -> str:
        return _version_of(self.script)


def shell_now() -> Shell:
    """Put the shell together as the files stand; in service it is made once."""
    return _shell() if settings.LOCAL else _shell_in_service()


@cache
def _shell_in_service() -> Shell:
    return _shell()


def _shell() -> Shell:
    script = _script()
    address = reverse("ramp:script", args=[_version_of(script)])
    # Without a request: nothing of a person, a session or a lake can come into it.
    page = render_to_string(
        "ramp/shell.html",
        {
            "script": address,
            "entry_fields": fields_for_phone(),
            "photo_address": _photo_address(),
        },
    )
    worker = render_to_string("ramp/worker.js", {})
    content = hashlib.sha256(page.encode() + worker.encode())
    for name in FILES:
        content.update(_bytes_of(name))
    files = (address, *(static(name) for name in FILES))
    return Shell(page, script, files, content.hexdigest()[:16])


def _photo_address() -> str:
    """Return where a photo goes, with ID and HASH in place of its fish and itself."""
    fish = UUID(int=0)
    address = reverse("photo_of_fish", kwargs={"entry_id": fish, "sha256": "HASH"})
    return address.replace(str(fish), "ID")


def _script() -> str:
    texts = {PurePath(name).stem: _bytes_of(name).decode() for name in SCRIPTS}
    # Joined first: it goes by the lines of the modules.
    script: str = jsmin(join_modules(texts, "app"))
    return script


def _version_of(script: str) -> str:
    return hashlib.sha256(script.encode()).hexdigest()[:16]


def _bytes_of(name: str) -> bytes:
    found = finders.find(name)
    if isinstance(found, str):
        with open(found, "rb") as file:
            return file.read()
    with staticfiles_storage.open(name) as file:
        data: bytes = file.read()
        return data


@require_safe
@etag(lambda request: f'"{shell_now().version}"')
@packed
def shell(request: HttpRequest) -> HttpResponse:
    """Show the ramp's app. Who logs, and what waits, comes from the phone's own store."""
    response = HttpResponse(shell_now().page)
    response["Cache-Control"] = "no-cache"
    return response


@require_safe
@packed
def script(request: HttpRequest, version: str) -> HttpResponse:
    """Return the app's script. Its address says its content: a page never gets another one's."""
    now = shell_now()
    if version != now.script_version:
        raise Http404
    response = HttpResponse(now.script, content_type="text/javascript")
    response["Cache-Control"] = "no-cache" if settings.LOCAL else "max-age=31536000, immutable"
    return response


@require_safe
@packed
def worker(request: HttpRequest) -> HttpResponse:
    """Return the script that keeps the shell on the phone; another content is another version."""
    now = shell_now()
    words = {
        "version": now.version,
        "shell": reverse("ramp:shell"),
        "files": now.files,
        # A name that changes with the content need not be asked for again.
        "cache": "no-cache" if settings.LOCAL else "default",
        # Without a way to the office the app is shown at their own address, and says so ...
        "standsIn": [reverse("accounts:this_is_me", args=["-"])[:-2], reverse("ramp:mine")],
        # ... or in place of a page that does what the app does too.
        "online": [reverse("ramp:log"), reverse("home")],
    }
    text = render_to_string("ramp/worker.js", {})
    head = f"const KEPT = {json.dumps(words)};\n"
    response = HttpResponse(head + text, content_type="text/javascript")
    response["Cache-Control"] = "no-cache"
    return response


@require_safe
@packed
def manifest(request: HttpRequest) -> HttpResponse:
    """Return how the app looks on a home screen."""
    words = {
        "id": reverse("ramp:shell"),
        "name": "Earstone at the ramp",
        "short_name": "Earstone",
        "description": "Log donated fish against numbered vials, with or without signal.",
        "start_url": reverse("ramp:shell"),
        "scope": "/",
        "display": "standalone",
        "lang": "en",
        "background_color": "#ffffff",
        "theme_color": "#ffffff",
        "icons": [
            {"src": static(name), "sizes": sizes, "type": "image/png", "purpose": purpose}
            for name, sizes, purpose in ICONS
        ],
    }
    response = JsonResponse(words, content_type="application/manifest+json")
    response["Cache-Control"] = "no-cache"
    return response
