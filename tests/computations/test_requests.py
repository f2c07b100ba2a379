"""Asking for work that takes long: begun once, joined by others, begun again for a reason."""

from datetime import timedelta

import pytest

from samples.computations import requests
from samples.computations.requests import REST, cancel_computation, count_ahead, request_computation
from samples.computations.results import result_key, save_result
from samples.models import Computation
from tests.people import NOW

pytestmark = pytest.mark.django_db
State = Computation.State


@pytest.fixture
def queued(monkeypatch):
    """Return a queue that nobody works on: the computations put in it, in order."""
    found: list[int] = []

    def enqueue(pk, *, short):
        found.append(pk)
        return f"task-{len(found)}"

    monkeypatch.setattr(requests, "enqueue", enqueue)
    return found


def ask(revision="1", *, key="growth", now=NOW, **others):
    return request_computation(
        kind="test", key=key, revision=revision, arguments={}, expected_s=2, now=now, **others
    )


def close(row, state, now=NOW):
    Computation.objects.filter(pk=row.pk).update(state=state, finished_at=now)


def test_two_who_ask_the_same_wait_for_one(queued):
    first, second = ask(), ask()

    assert first == second
    assert queued == [first.pk]
    assert (second.state, second.task_id) == (State.QUEUED, "task-1")


def test_two_questions_are_two(queued):
    assert ask() != ask(key="mortality")
    assert len(queued) == 2


def test_new_data_do_not_begin_what_is_at_work_anew(queued):
    row = ask()
    Computation.objects.filter(pk=row.pk).update(
        state=State.RUNNING, lease="w", leased_until=NOW + timedelta(minutes=1)
    )

    assert ask("2").state == State.RUNNING
    assert len(queued) == 1


def test_what_is_done_begins_again_when_its_result_is_not_there(queued):
    close(ask(), State.DONE)

    assert ask("2").state == State.QUEUED
    assert len(queued) == 2


def test_a_result_that_came_while_the_page_looked_for_it_is_not_worked_out_twice(queued):
    row = ask()
    key = result_key("test", "growth", "1")
    save_result(key, "the answer")
    Computation.objects.filter(pk=row.pk).update(state=State.DONE, result_key=key)

    assert ask().state == State.DONE
    assert ask("2").state == State.QUEUED


@pytest.mark.parametrize(
    ("state", "how", "begins"),
    [
        (State.FAILED, {}, False),
        (State.CANCELED, {}, False),
        (State.FAILED, {"again": True}, True),
        (State.CANCELED, {"again": True}, True),
        (State.FAILED, {"revision": "2"}, True),
        (State.CANCELED, {"revision": "2"}, True),
        (State.FAILED, {"now": NOW + REST + timedelta(seconds=1)}, True),
        (State.CANCELED, {"now": NOW + REST + timedelta(seconds=1)}, False),
    ],
)
def test_what_stopped_begins_again_for_a_reason_alone(queued, state, how, begins):
    close(ask(), state)

    assert (ask(**how).state == State.QUEUED) == begins
    assert len(queued) == 1 + begins


def test_what_an_older_program_was_asked_is_asked_of_this_one(queued):
    row = ask()
    Computation.objects.filter(pk=row.pk).update(version="0.0.9")

    assert ask().version != "0.0.9"
    assert len(queued) == 2


def test_a_page_that_waits_writes_nothing(queued, django_assert_num_queries):
    ask()

    with django_assert_num_queries(2) as captured:
        ask()
    assert all(query["sql"].startswith("SELECT") for query in captured)


def test_what_waits_is_canceled_at_once_and_what_runs_is_told(queued):
    waiting, running = ask(), ask(key="other")
    Computation.objects.filter(pk=running.pk).update(
        state=State.RUNNING, lease="w", leased_until=NOW
    )
    for row in (waiting, running):
        cancel_computation(row.pk, now=NOW)
        row.refresh_from_db()

    assert (waiting.state, waiting.cancel_asked) == (State.CANCELED, False)
    assert (running.state, running.cancel_asked) == (State.RUNNING, True)


def test_those_that_came_before_are_ahead(queued):
    ask(key="before", now=NOW - timedelta(seconds=5))
    row = ask()
    ask(key="after", now=NOW + timedelta(seconds=5))

    assert count_ahead(row) == 1
