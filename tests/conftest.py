"""What every test may use: pages in a real browser, and what runs on which database.

People, a lake and fish to test with are in tests/people.py.
"""

import importlib.util
import os

import hypothesis
import pytest
from django.conf import settings
from django.core.cache import caches
from django.db import connection
from django.test import Client

from tests import chromium
from tests.emptying import empty_by_deleting
from tests.left_out import LEFT_OUT_ON, REASONS, why_left_out
from tests.template import begin_with_template

# A busy machine is no reason to fail: how long examples take says nothing about their result.
hypothesis.settings.register_profile(
    "earstone",
    deadline=None,
    suppress_health_check=[hypothesis.HealthCheck.too_slow],
    print_blob=True,
)
hypothesis.settings.load_profile("earstone")

pytest_plugins = ["tests.longest_first", "tests.seldom_swept", "tests.made_once"]
pytest_plugins += [
    name for name in ("tests.people", "tests.revision_watch") if importlib.util.find_spec(name)
]


ABOUT_A_DATABASE = {marker for marked in LEFT_OUT_ON.values() for marker in marked}
DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}


def uses_database(item):
    """Return whether a test is let at the database; any other is refused it."""
    marked = any(
        item.get_closest_marker(name) for name in ("django_db", "browser", *ABOUT_A_DATABASE)
    )
    return marked or not DATABASE_FIXTURES.isdisjoint(item.fixturenames)


# Before markers are chosen from: what is set here can be asked for with -m.
@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    for item in items:
        if uses_database(item):
            item.add_marker(pytest.mark.database)
        reason = why_left_out({mark.name for mark in item.iter_markers()}, connection.vendor)
        if reason:
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(autouse=True)
def _nobody_asked_before():
    """Let no test meet the throttle, or findings, because of what other tests have sent."""
    caches["default"].clear()
    caches["tries"].clear()
    # In the database they go with the rows of the test.
    if "locmem" in settings.CACHES["results"]["BACKEND"]:
        caches["results"].clear()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """Let no test be left out unseen: under CI a skip for any other reason is a failure.

    What holds on one database alone runs on that one, in a run of its own.
    """
    return fail_if_left_out((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    """Nor a whole module."""
    return fail_if_left_out((yield))


def fail_if_left_out(report):
    left_out = report.skipped and not hasattr(report, "wasxfail")
    if os.environ.get("CI") and left_out and _why(report) not in REASONS:
        report.outcome = "failed"
        report.longrepr = f"Skipped under CI: {report.longrepr}"
    return report


def _why(report):
    """Return the reason of a skip, which pytest keeps behind its place."""
    place = report.longrepr
    return str(place[2]).removeprefix("Skipped: ") if isinstance(place, tuple) else str(place)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(request, tmp_path_factory, django_db_modify_db_settings):
    """Keep the database in a file where a browser drives the site: pages send at the same time.

    An SQLite in memory is one connection shared by all threads, and two that write at once
    fail each other there, which a database in a file does not do.
    """
    driven = any(item.get_closest_marker("browser") for item in request.session.items)
    if driven and connection.vendor == "sqlite":
        name = tmp_path_factory.mktemp("database") / "earstone.sqlite3"
        connection.settings_dict["TEST"]["NAME"] = str(name)
    empty_by_deleting()
    begin_with_template()


@pytest.fixture(scope="session")
def browser():
    """One Chromium for all browser tests; without one they are skipped, under CI they fail."""
    path = chromium.program_or_skip()
    from playwright.sync_api import sync_playwright

    # Playwright keeps an event loop in this thread until the end of the run, and Django would
    # refuse every query beside it, also in fixtures that clear up after a test.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, args=chromium.FLAGS)
        yield opened
        opened.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def open_page(browser, live_server):
    """Open a page of the live site: open_page(PHONE), open_page(DESK, user=clerk), ...

    A script that throws, or a file that the page's own policy stops, fails the test at its end.
    """
    contexts = []
    complaints = []

    def listen(message):
        if message.type == "error" and "Content Security Policy" in message.text:
            complaints.append(message.text)

    def open_one(kind, *, user=None, **options):
        context = browser.new_context(base_url=live_server.url, **kind, **options)
        context.set_default_timeout(15_000)
        contexts.append(context)
        if user is not None:
            context.add_cookies([session_cookie(user, live_server.url)])
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", listen)
        return page

    yield open_one
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def phone(open_page):
    """Return a phone, 360 x 740, with a finger; nobody is signed in."""
    return open_page(chromium.PHONE)


@pytest.fixture
def desk(open_page):
    """Return a desk, 1280 x 800; nobody is signed in."""
    return open_page(chromium.DESK)


@pytest.fixture
def axe():
    """Check an open page for barriers: assert axe(page) == []."""
    return chromium.barriers


def session_cookie(user, url):
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": url}
