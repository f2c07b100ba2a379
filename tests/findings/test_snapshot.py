"""All reads of a finding see one state of the data, and its answer lies under that state's mark."""

import threading

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils.datastructures import MultiValueDict

from samples.findings.computed import Rights, make_finding, read_question
from samples.findings.queries import snapshot
from samples.models import Arm, read_revision
from tests.people import NOW
from tests.waiting import LONGEST_S

ALL_RIGHTS = Rights(named=True, linked=True)


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


def test_what_changed_since_the_question_is_in_the_answer_and_its_revision(
    lake, white, season, aged
):
    question = ask(lake, "length-at-age", NOW.date())
    aged(3, [8.0, 9.0])

    answered, finding = make_finding(question)

    assert answered.revision == read_revision(lake.pk) != question.revision
    assert finding.page.tables


def test_the_day_a_season_begins_is_another_question(lake, white, season):
    def asked_on(day):
        return ask(lake, "growth", day)

    season.pk = None
    season.name, season.starts_on, season.ends_on = "2027", "2027-01-01", "2027-12-31"
    season.save()

    last, first = (NOW.date().replace(year=2026, month=12, day=31), NOW.date().replace(year=2027))
    assert asked_on(last).key != asked_on(first).key
