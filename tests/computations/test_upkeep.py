"""Working on a computation, and looking after those whose worker was lost."""

import uuid
from datetime import timedelta

import pytest
from django.db import OperationalError
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from samples.computations import requests, upkeep
from samples.computations.results import load_result, program_version
from samples.computations.running import Abandoned, Progress, claim, run_computation
from samples.models import Computation
from tests.people import NOW

pytestmark = pytest.mark.django_db
State = Computation.State
WORK = "tests.computations.test_upkeep"
LATER = NOW + timedelta(minutes=2)


@pytest.fixture(autouse=True)
def queued(monkeypatch):
    found: list[int] = []

    def enqueue(pk, *, short):
        found.append(pk)
        return "new-task"

    monkeypatch.setattr(requests, "enqueue", enqueue)
    return found


def make(**columns):
    usual = {
        "key": uuid.uuid4().hex,
        "kind": "test",
        "arguments": {},
        "revision": "1",
        "version": program_version(),
        "state": State.QUEUED,
        "queued_at": NOW,
    }
    return Computation.objects.create(**usual | columns)


def at_work(worker="first", **columns):
    task = DBTaskResult.objects.create(
        id=uuid.uuid4(),
        status=columns.pop("task", TaskResultStatus.RUNNING),
        args_kwargs={},
        started_at=columns.pop("task_began", NOW),
        run_after=NOW,
        task_path="x",
        backend_name="default",
        exception_class_path="",
        traceback="",
    )
    usual = {
        "state": State.RUNNING,
        "lease": worker,
        "leased_until": NOW + timedelta(minutes=1),
        "started_at": NOW,
        "attempts": 1,
        "task_id": str(task.id),
    }
    return make(**usual | columns)


def now(row):
    row.refresh_from_db()
    return row.state


def work_with(settings, compute):
    settings.COMPUTATIONS = {"test": f"{WORK}.{compute.__name__}"}


def answers(arguments, progress):
    progress(50, "Half")
    return "2", "the answer"


def fails(arguments, progress):
    raise ZeroDivisionError("1 / 0")


def meets_an_outage(arguments, progress):
    raise OperationalError("database is locked")


def loses_its_lease(arguments, progress):
    Computation.objects.update(lease="second")
    return "1", "of the one that was thought lost"


def run(row, worker="first"):
    run_computation(row.pk, worker=worker, task_id="t", clock=lambda: NOW)


class TestRunning:
    def test_keeps_the_result_under_the_revision_that_was_read(self, settings):
        work_with(settings, answers)
        row = make()

        run(row)

        assert now(row) == State.DONE
        assert (row.progress, row.attempts, row.result_at) == (100, 1, NOW)
        assert load_result(row.result_key) == "the answer"

    def test_is_claimed_once_and_by_its_own_program(self):
        row, older = make(), make(version="0.0.9")

        assert claim(row.pk, worker="first", task_id="t", now=NOW) == row
        assert claim(row.pk, worker="second", task_id="t", now=NOW) is None
        assert claim(older.pk, worker="first", task_id="t", now=NOW) is None

    def test_a_failure_is_marked_and_logged(self, settings, caplog):
        work_with(settings, fails)
        row = make()

        run(row)

        assert (now(row), row.problem) == (State.FAILED, "ZeroDivisionError")
        assert f"Computation {row.pk} (test) failed." in caplog.text

    def test_an_outage_marks_nothing_so_that_another_worker_begins_again(self, settings):
        work_with(settings, meets_an_outage)
        row = make()

        with pytest.raises(OperationalError):
            run(row)
        assert now(row) == State.RUNNING

    def test_whoever_lost_the_lease_closes_nothing(self, settings):
        work_with(settings, loses_its_lease)
        row = make()

        run(row)

        assert (now(row), row.lease, row.result_key) == (State.RUNNING, "second", "")

    def test_what_was_called_off_stops_where_it_tells_its_progress(self, settings):
        work_with(settings, answers)
        row = make()
        claim(row.pk, worker="first", task_id="t", now=NOW)
        Computation.objects.update(cancel_asked=True)

        with pytest.raises(Abandoned):
            Progress(row.pk, "first")(50, "Half")


class TestLost:
    def test_leases_are_renewed_of_those_still_at_their_task(self):
        working = at_work()
        fallen = at_work(task=TaskResultStatus.FAILED)
        others = at_work("second")

        upkeep.renew_leases(["first"], now=NOW + timedelta(seconds=30))

        until = [now(row) and row.leased_until for row in (working, fallen, others)]
        assert until == [
            NOW + timedelta(seconds=90), NOW + timedelta(minutes=1), NOW + timedelta(minutes=1)
        ]  # fmt: skip

    def test_a_lease_that_ran_out_begins_again_twice_at_most(self, queued):
        row, spent = at_work(attempts=2), at_work(attempts=3)

        upkeep.begin_lost_again(now=LATER)

        assert (now(row), row.lease, row.task_id) == (State.QUEUED, "", "new-task")
        assert (now(spent), spent.problem) == (State.FAILED, upkeep.WORKER_LOST)
        assert queued == [row.pk]

    def test_what_is_at_work_is_left_alone(self, queued):
        row = at_work()

        upkeep.begin_lost_again(now=NOW)

        assert (now(row), queued) == (State.RUNNING, [])

    def test_what_lost_its_place_in_the_queue_gets_another(self, queued):
        lost = make(task_id=str(uuid.uuid4()))
        at_work(state=State.QUEUED, lease="", leased_until=None, task=TaskResultStatus.READY)
        make(task_id=str(uuid.uuid4()), version="0.0.9")

        upkeep.begin_lost_again(now=LATER)

        assert queued == [lost.pk]

    def test_a_task_that_was_taken_and_never_claimed_begins_again(self, queued):
        """Its worker was lost in between; one that took it just now may yet claim it."""
        waiting = {"state": State.QUEUED, "lease": "", "leased_until": None}
        lost = at_work(**waiting, task_began=NOW)
        at_work(**waiting, task_began=LATER - timedelta(seconds=5))

        upkeep.begin_lost_again(now=LATER)

        assert queued == [lost.pk]

    def test_what_a_lost_worker_was_at_is_queued_at_once(self, queued):
        row, others = at_work(), at_work("second")

        upkeep.give_back_of("first", now=NOW)

        assert (now(row), now(others)) == (State.QUEUED, State.RUNNING)

    def test_a_restart_of_the_machine_is_no_failed_attempt(self, queued):
        row = at_work(attempts=3)

        upkeep.give_back_of("first", now=NOW, was_stopped=True)

        assert (now(row), row.attempts) == (State.QUEUED, 2)

    def test_what_is_called_off_or_takes_too_long_is_to_be_stopped(self, settings):
        settings.COMPUTATION_LONGEST_S = 60
        at_work("calm")
        at_work("called off", cancel_asked=True)
        at_work("slow", started_at=NOW - timedelta(seconds=61))
        at_work("of another machine", cancel_asked=True)

        found = upkeep.find_unwanted(["calm", "called off", "slow"], now=NOW)

        assert found == {"called off": State.CANCELED, "slow": State.FAILED}

    def test_what_nobody_asks_for_any_more_goes(self):
        make(state=State.DONE, queued_at=NOW - timedelta(days=8))
        fresh = make(state=State.DONE)

        assert upkeep.prune(now=NOW) == 1
        assert list(Computation.objects.all()) == [fresh]
