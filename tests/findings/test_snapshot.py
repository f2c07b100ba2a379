"""All reads of a finding see one state of the data, and its answer lies under that state's mark."""

import threading
from contextlib import contextmanager

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils.datastructures import MultiValueDict

from samples.computations import results
from samples.computations.results import load_result
from samples.findings import computed, queries
from samples.findings.computed import Rights, find_answer, read_question
from samples.findings.cost import Cost
from samples.findings.queries import snapshot
from samples.models import Arm
from tests.people import NOW
from tests.waiting import LONGEST_S

ALL_RIGHTS = Rights(linked=True)


def add_arm_elsewhere(lake):
    """Add an arm from another connection, and wait until it stands."""

    def add():
        try:
            Arm.objects.create(lake_id=lake.pk, name="East")
        finally:
            connection.close()

    thread = threading.Thread(target=add)
    thread.start()
    thread.join(timeout=LONGEST_S)


def ask(lake, topic, today):
    _, question = read_question(lake, topic, MultiValueDict(), rights=ALL_RIGHTS, today=today)
    assert question is not None
    return question


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_what_is_written_meanwhile_is_not_seen(lake):
    arms = Arm.objects.filter(lake=lake)

    with snapshot():
        before = arms.count()
        add_arm_elsewhere(lake)
        assert arms.count() == before

    assert arms.count() == before + 1


@pytest.mark.django_db(transaction=True)
def test_no_write_lock_is_taken_for_it(lake):
    with CaptureQueriesContext(connection) as asked:
        with snapshot():
            Arm.objects.count()
        with transaction.atomic():
            Arm.objects.count()

    begins = [one["sql"] for one in asked if one["sql"].startswith("BEGIN")]
    # A transaction that is to write takes the lock on SQLite, and does so after a snapshot too.
    writing = {"sqlite": "BEGIN IMMEDIATE", "postgresql": "BEGIN"}[connection.vendor]
    assert begins == ["BEGIN", writing]


@pytest.mark.parametrize("cost", [Cost(0.0, draws=False), Cost(9.0)])
def test_what_changed_since_the_question_is_in_the_answer_and_lies_under_its_revision(
    lake, white, season, aged, monkeypatch, cost
):
    """Made on the page, and by a worker."""
    monkeypatch.setattr(computed, "expected_cost", lambda *_: cost)
    question = ask(lake, "length-at-age", NOW.date())
    aged(3, [8.0, 9.0])

    find_answer(question, now=NOW)

    anew = ask(lake, "length-at-age", NOW.date())
    assert load_result(question.finding_key) is None
    assert load_result(anew.finding_key).page.tables


@pytest.mark.parametrize("cost", [Cost(0.0), Cost(9.0)])
def test_what_is_kept_is_not_touched_in_a_snapshot(lake, white, season, aged, monkeypatch, cost):
    """A full store throws old results out, and a snapshot lets nothing be written."""
    inside, touched_inside = [False], []
    store = results._store

    @contextmanager
    def marked_snapshot():
        inside[0] = True
        with snapshot():
            yield
        inside[0] = False

    def watched_store():
        touched_inside.append(inside[0])
        return store()

    monkeypatch.setattr(queries, "snapshot", marked_snapshot)
    monkeypatch.setattr(results, "_store", watched_store)
    monkeypatch.setattr(computed, "expected_cost", lambda *_: cost)
    question = ask(lake, "length-at-age", NOW.date())
    aged(3, [8.0, 9.0])

    find_answer(question, now=NOW)

    assert touched_inside
    assert not any(touched_inside)


def test_the_day_a_season_begins_is_another_question(lake, white, season):
    def asked_on(day):
        return ask(lake, "growth", day)

    season.pk = None
    season.name, season.starts_on, season.ends_on = "2027", "2027-01-01", "2027-12-31"
    season.save()

    last, first = (NOW.date().replace(year=2026, month=12, day=31), NOW.date().replace(year=2027))
    assert asked_on(last).key != asked_on(first).key
