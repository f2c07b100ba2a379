"""Fifty phones that send at the same time, over HTTP, to the site under gunicorn."""

import http.client
import json
import statistics
import tempfile
import threading
import time
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import urlencode

from django.db import connection

from samples.accounts.links import make_phone
from tests.faults.server import HOST, Site

WORKERS = 2


def in_parallel(phones, work):
    """Let every phone do its work at once; give the seconds of every single step of it."""
    took: list[list[float]] = [[] for _ in phones]
    start = threading.Barrier(len(phones))

    def live(place, phone):
        start.wait()
        work(phone, took[place])

    threads = [threading.Thread(target=live, args=each) for each in enumerate(phones)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(seconds for one in took for seconds in one)


def sending(port):
    """Make the work of a phone: its batches, one after the other."""

    def send(phone, took):
        link = http.client.HTTPConnection(HOST, port, timeout=60)
        for body in phone.bodies:
            begun = time.perf_counter()
            link.request("POST", "/api/v1/outbox/", body, phone.headers)
            answer = link.getresponse()
            words = json.loads(answer.read())
            took.append(time.perf_counter() - begun)
            outcomes = {result["outcome"] for result in words["results"]}
            if answer.status != 200 or outcomes != {"logged"}:
                raise RuntimeError(f"{answer.status} {outcomes}: this measured something else")

    return send


def asking(port):
    """Make the work of a phone that only asks whether the site is there."""

    def ask(phone, took):
        link = http.client.HTTPConnection(HOST, port, timeout=60)
        for _ in phone.bodies:
            begun = time.perf_counter()
            link.request("GET", "/healthy/")
            link.getresponse().read()
            took.append(time.perf_counter() - begun)

    return ask


def phones_with(batches, by, now):
    """Return a phone for every list of batches."""
    return [
        SimpleNamespace(
            headers={
                "Authorization": f"Token {make_phone(by, now=now).token}",
                "Content-Type": "application/json",
            },
            bodies=[json.dumps({"entries": batch}) for batch in own],
        )
        for own in batches
    ]


def p95(seconds):
    return statistics.quantiles(seconds, n=20)[-1] * 1000


def on_site(work):
    """Run work(port) with the site at work on the benchmark's own database."""
    parts = connection.settings_dict
    where = urlencode({"host": parts["HOST"]})
    address = SimpleNamespace(address=f"postgresql://{parts['USER']}@/{parts['NAME']}?{where}")
    with tempfile.TemporaryDirectory(prefix="earstone-benchmark-") as folder:
        site = Site(
            Path(folder), address, application="fisheries.wsgi", workers=WORKERS, environment={}
        )
        site.start()
        try:
            return work(site.port)
        finally:
            site.stop()
