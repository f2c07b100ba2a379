"""Work beside the pages: eight people ask about eight length limits at once, while phones send.

The floor is the same site a moment before, when nobody asked: batches of 25 fish one after another,
and /healthy/ ten times a second. On SQLite the site starts its own worker; on PostgreSQL one runs
apart, as in an installation.
"""

import http.client
import json
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import ExitStack, contextmanager
from pathlib import Path
from urllib.parse import urlencode

from django.conf import settings
from django.db import connection
from django.test import Client

from samples.accounts.links import make_phone
from samples.management.timing import BenchmarkResult
from samples.models import Computation, Membership, User
from tests.benchmarks._fished_lake import arms_of, make_fished_lake
from tests.benchmarks.intake import NOW, _entry, _guide_with_party, _vials, _water
from tests.operations.site import HOST, ROOT, Process, ask, free_port, gunicorn, start_site

NAME = "jobs"
# The site is a process of its own: it cannot see a database in this one's memory.
ON_DISK = True
ASKED_AT_ONCE = 8
ASKED_ALONE = (8.1, 8.2, 8.3)
FISH = 25
QUIET_BATCHES = 30
WARM_UP = 8
MOST_BATCHES = 200
# Phones do not send without a pause.
PAUSE_S = 0.2
LONGEST_S = 300
HEALTHY_S, COLD_PAGE_S, SLOWER = 1.0, 0.3, 1.5


def run():
    lake, phone, desk = _world()
    with _site() as port:
        send, healthy = _sender(port, phone), _watcher(port)
        # Each process of the site loads what findings need when it is first asked for one.
        _at_once([lambda: _ask_for_page(port, desk, lake, limit=8)] * WARM_UP)
        _wait_for_worker(port)
        alone = statistics.median(
            _ask_for_page(port, desk, lake, limit=limit) for limit in ASKED_ALONE
        )
        _until_all_are_done(send)
        quiet_healthy = healthy.watch(lambda: [send() for _ in range(QUIET_BATCHES)])
        quiet = send.take()
        cold: list[float] = []
        busy_healthy = healthy.watch(lambda: _ask_all_at_once(port, desk, lake, send, cold))
        busy = send.take()
    done = Computation.objects.filter(state="done").count()
    if done != ASKED_AT_ONCE + 1 + len(ASKED_ALONE):
        raise RuntimeError(f"{done} were worked out: this measured something else")
    where = f"{connection.vendor}, {len(busy)} batches, {ASKED_AT_ONCE} cold length limits at once"
    return [
        _result(
            f"longest answer of /healthy/, {where}",
            max(busy_healthy),
            max(quiet_healthy),
            f"within {HEALTHY_S:g} s",
            max(busy_healthy) < HEALTHY_S,
        ),
        _result(
            f"median of a batch of {FISH} fish, {where}",
            statistics.median(busy),
            statistics.median(quiet),
            f"under {SLOWER:g} x its quiet time",
            statistics.median(busy) < SLOWER * statistics.median(quiet),
        ),
        _result(
            f"first answer of a cold page, {where}: median; the floor is one asked alone",
            statistics.median(cold),
            alone,
            f"alone within {COLD_PAGE_S:g} s",
            alone < COLD_PAGE_S,
        ),
    ]


def _result(name, ours, floor, goal, met):
    return BenchmarkResult(f"{NAME}: {name}", ours * 1000, floor * 1000, "ms", goal, met=met)


# ---------- The world ----------


def _world():
    season, arm = _water()
    by, party = _guide_with_party(season, arm, "bench-guide")
    species = season.lake.lake_species.get().species
    make_fished_lake(season, arms_of(season.lake), species, by, NOW)
    biologist = User.objects.create(username="bench-desk", display_name="B. Desk")
    Membership.objects.create(person=biologist, lake=season.lake, role="biologist")
    vials = _vials(season, by, count=FISH * MOST_BATCHES, start=1)
    batches = [[_entry(party, vials.pop()) for _ in range(FISH)] for _ in range(MOST_BATCHES)]
    token = make_phone(by, now=NOW).token
    return season.lake, (token, batches), _cookie_of(biologist)


def _cookie_of(user):
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return f"sessionid={client.cookies[settings.SESSION_COOKIE_NAME].value}"


@contextmanager
def _site():
    """Run the site on this database by its own configuration, and a worker where it has none."""
    with tempfile.TemporaryDirectory(prefix="earstone-benchmark-") as name, ExitStack() as stack:
        folder, port = Path(name), free_port()
        environment = {
            "DJANGO_SETTINGS_MODULE": "fisheries.settings",
            "DATABASE_URL": _address(),
            "EARSTONE_SECRET_KEY": settings.SECRET_KEY,
            "EARSTONE_HOSTS": HOST,
            "EARSTONE_PLAIN_HTTP": "1",
            "EARSTONE_STATIC": str(folder / "static"),
            "EARSTONE_RESULTS": str(folder / "results"),
            "EARSTONE_WORKER": "embedded" if connection.vendor == "sqlite" else "apart",
        }
        site = gunicorn(folder, port, environment | {"EARSTONE_WORKERS": "2"})
        manage = [sys.executable, "manage.py"]
        subprocess.run(
            [*manage, "collectstatic", "--no-input", "--verbosity", "0"],
            env=site.environment,
            cwd=ROOT,
            check=True,
        )
        if connection.vendor != "sqlite":
            worker = Process([*manage, "worker"], folder=folder, port=port, environment=environment)
            worker.start(lambda: True)
            stack.callback(worker.stop)
        start_site(site)
        stack.callback(site.stop)
        yield port


def _address():
    parts = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{parts['NAME']}"
    return f"postgresql://{parts['USER']}@/{parts['NAME']}?{urlencode({'host': parts['HOST']})}"


# ---------- Who asks ----------


class _sender:  # noqa: N801 - used as a function
    """Sends one batch after another, and keeps how long each took."""

    def __init__(self, port, phone):
        self.port, (token, self.batches) = port, phone
        self.headers = {"Authorization": f"Token {token}", "Content-Type": "application/json"}
        self.took: list[float] = []

    def __call__(self):
        time.sleep(PAUSE_S)
        body = json.dumps({"entries": self.batches.pop()})
        begun = time.perf_counter()
        status, _, text = ask(
            self.port, "/api/v1/outbox/", method="POST", body=body, headers=self.headers, timeout=60
        )
        self.took.append(time.perf_counter() - begun)
        outcomes = {result["outcome"] for result in json.loads(text)["results"]}
        if status != 200 or outcomes != {"logged"}:
            raise RuntimeError(f"{status} {outcomes}: this measured something else")

    def take(self):
        took, self.took = self.took, []
        return took


class _watcher:  # noqa: N801 - used as a function
    """Asks /healthy/ ten times a second while something else goes on."""

    def __init__(self, port):
        self.port = port

    def watch(self, work):
        took: list[float] = []
        over = threading.Event()

        def look():
            link = http.client.HTTPConnection(HOST, self.port, timeout=60)
            while not over.wait(0.1):
                begun = time.perf_counter()
                link.request("GET", "/healthy/")
                link.getresponse().read()
                took.append(time.perf_counter() - begun)

        thread = threading.Thread(target=look)
        thread.start()
        try:
            work()
        finally:
            over.set()
            thread.join()
        return took


def _ask_for_page(port, cookie, lake, *, limit):
    address = f"/lakes/{lake.slug}/findings/length-limit/?limit_1={limit}"
    begun = time.perf_counter()
    status, _, text = ask(port, address, headers={"Cookie": cookie}, timeout=60)
    if status != 202:
        raise RuntimeError(f"{status} for a cold page: this measured something else\n{text[:500]}")
    return time.perf_counter() - begun


def _ask_all_at_once(port, cookie, lake, send, cold):
    """Let eight people ask at the same moment; phones go on sending until all is worked out."""

    def ask_about(limit):
        return lambda: cold.append(_ask_for_page(port, cookie, lake, limit=limit))

    _at_once([send, *(ask_about(9 + place / 2) for place in range(ASKED_AT_ONCE))])
    _until_all_are_done(send)


def _at_once(works):
    threads = [threading.Thread(target=work) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _until_all_are_done(send):
    deadline = time.monotonic() + LONGEST_S
    while Computation.objects.filter(state__in=Computation.OPEN).exists():
        if time.monotonic() > deadline or len(send.batches) <= QUIET_BATCHES:
            raise RuntimeError("the worker did not come to its end")
        send()
    send()


def _wait_for_worker(port):
    deadline = time.monotonic() + LONGEST_S
    while time.monotonic() < deadline:
        if json.loads(ask(port, "/ready/")[2])["checks"]["worker"] == "running":
            return
        time.sleep(0.5)
    raise RuntimeError("no worker came up")
