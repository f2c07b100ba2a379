"""A worker in processes of its own: what it survives, and what it does once."""

import os
import signal
import sqlite3
import subprocess
import sys
import time
import uuid
from contextlib import contextmanager
from typing import Any

import psycopg
import pytest
from django.db import connections
from django.utils import timezone
from django_tasks_db.models import DBTaskResult, get_date_max

from samples.computations.results import program_version
from samples.models import Computation
from tests.computations.work import times_begun
from tests.operations.databases import another
from tests.operations.site import LONGEST_S, Process

# Its database is made here, beside that of the tests, where another process can reach it.
pytestmark = pytest.mark.database
State = Computation.State
ALIAS = "worked"


class Worker:
    """`manage.py worker` on a database of its own, and what it is asked for."""

    def __init__(self, folder, url):
        self.folder, self.url = folder, url
        self.process = None

    def start(self):
        self.process = Process(
            [sys.executable, "manage.py", "worker", "--slots", "2"],
            folder=self.folder,
            port=0,
            environment={
                "DJANGO_SETTINGS_MODULE": "tests.computations.worker_settings",
                "DATABASE_URL": self.url,
                "EARSTONE_WORKER": "apart",
            },
        ).start(lambda: True)

    def kill(self):
        """Take the power from it: the supervisor and all that it started."""
        os.killpg(self.process.process.pid, signal.SIGKILL)
        self.process.process.wait()

    def stop(self):
        self.process.stop()

    def log(self):
        return self.process.log()

    def ask(self, folder, *, waits=True, places=("long",)):
        """Ask for work; it is noted in a folder. In as many places of the queue as are named."""
        folder.mkdir(exist_ok=True)
        row = Computation.objects.using(ALIAS).create(
            key=uuid.uuid4().hex,
            kind="test",
            arguments={"folder": str(folder), "revision": "1", "waits": waits},
            revision="1",
            version=program_version(),
            state=State.QUEUED,
            queued_at=timezone.now(),
        )
        for queue in places:
            task = DBTaskResult.objects.using(ALIAS).create(
                task_path="samples.computations.tasks.compute",
                args_kwargs={"args": [row.pk], "kwargs": {}},
                queue_name=queue,
                backend_name="default",
                run_after=get_date_max(),
                exception_class_path="",
                traceback="",
            )
            Computation.objects.using(ALIAS).filter(pk=row.pk).update(task_id=str(task.id))
        return row


@pytest.fixture(scope="module")
def worker(tmp_path_factory, django_db_blocker):
    folder = tmp_path_factory.mktemp("worker")
    with django_db_blocker.unblock(), another(folder, ALIAS) as url:
        worker = Worker(folder, url)
        worker.start()
        try:
            yield worker
        finally:
            worker.stop()


def wait_until(is_so, worker):
    deadline = time.monotonic() + LONGEST_S
    while time.monotonic() < deadline:
        if is_so():
            return
        time.sleep(0.02)
    pytest.fail(f"it never came to that:\n{worker.log()}")


def state_of(row):
    row.refresh_from_db(using=ALIAS)
    return row.state


def kill_child_of(row):
    found = subprocess.run(["pgrep", "-f", row.lease], capture_output=True, text=True, check=True)
    for pid in found.stdout.split():
        os.kill(int(pid), signal.SIGKILL)


@contextmanager
def locked(url):
    """Hold the database of the worker so that it can write nothing."""
    options = connections[ALIAS].settings_dict
    if connections[ALIAS].vendor == "sqlite":
        link: Any = sqlite3.connect(options["NAME"], isolation_level=None)
        link.execute("BEGIN EXCLUSIVE")
    else:
        link = psycopg.connect(url)
        link.execute("LOCK TABLE samples_computation IN ACCESS EXCLUSIVE MODE")
    try:
        yield
    finally:
        link.rollback()
        link.close()


def test_a_duplicate_in_the_queue_is_not_worked_on(worker, tmp_path):
    # The long one first: only one of the two slots takes it, and must not be at the other by then.
    row = worker.ask(tmp_path / "work", places=("long", "short"))

    def found():
        tasks = DBTaskResult.objects.using(ALIAS).all()
        return sorted(one.status for one in tasks if one.args_kwargs["args"] == [row.pk])

    # One is at it; the other one came to its end without having done anything.
    wait_until(lambda: found() == ["RUNNING", "SUCCESSFUL"], worker)
    (tmp_path / "work" / "go").touch()
    wait_until(lambda: state_of(row) == State.DONE, worker)

    assert (times_begun(tmp_path / "work"), row.attempts) == (1, 1)


def test_what_is_canceled_is_stopped_and_the_next_one_is_done(worker, tmp_path):
    row = worker.ask(tmp_path / "work")
    wait_until(lambda: times_begun(tmp_path / "work") == 1, worker)
    after = worker.ask(tmp_path / "after", waits=False)

    Computation.objects.using(ALIAS).filter(pk=row.pk).update(cancel_asked=True)
    wait_until(lambda: state_of(row) == State.CANCELED, worker)
    wait_until(lambda: state_of(after) == State.DONE, worker)

    assert row.result_key == ""


def test_a_locked_database_is_waited_for(worker, tmp_path):
    row = worker.ask(tmp_path / "work")
    wait_until(lambda: times_begun(tmp_path / "work") == 1, worker)
    before = worker.log().count("cannot be looked after now")

    with locked(worker.url):
        (tmp_path / "work" / "go").touch()
        wait_until(lambda: worker.log().count("cannot be looked after now") > before, worker)
    wait_until(lambda: state_of(row) == State.DONE, worker)


def test_a_crash_and_a_lost_machine_begin_the_work_again(worker, tmp_path):
    row = worker.ask(tmp_path / "work")
    wait_until(lambda: times_begun(tmp_path / "work") == 1, worker)
    state_of(row)

    kill_child_of(row)
    wait_until(lambda: times_begun(tmp_path / "work") == 2, worker)
    worker.kill()
    worker.start()
    wait_until(lambda: times_begun(tmp_path / "work") == 3, worker)
    (tmp_path / "work" / "go").touch()
    wait_until(lambda: state_of(row) == State.DONE, worker)

    assert row.attempts == 3
