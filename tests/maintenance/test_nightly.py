"""When the nightly backup runs, and that a night that fails does not end it."""

from argparse import ArgumentTypeError
from datetime import UTC, datetime, time, timedelta

import pytest
from django.core.management import CommandError

from samples.maintenance.nightly import RETRY_AFTER, next_run
from samples.management.commands import backup

HALF_PAST_TWO = time(2, 30)


def at(day, hour, minute=0):
    return datetime(2026, 5, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("now", "newest", "due"),
    [
        pytest.param(at(6, 12), at(6, 2, 30), at(7, 2, 30), id="done last night"),
        pytest.param(at(6, 1), at(5, 2, 31), at(6, 2, 30), id="tonight's is yet to come"),
        pytest.param(at(6, 2, 30), at(5, 2, 30), at(6, 2, 30), id="now is the time"),
        pytest.param(at(6, 12), at(5, 2, 30), at(6, 12), id="last night was missed"),
        pytest.param(at(6, 12), None, at(6, 12), id="none was ever made"),
        pytest.param(at(6, 12), at(6, 9), at(7, 2, 30), id="made by hand since"),
    ],
)
def test_when_the_next_is_due(now, newest, due):
    assert next_run(HALF_PAST_TWO, now=now, newest_made_at=newest) == due


class EndOfTest(Exception):
    pass


def test_a_night_that_fails_is_tried_again_and_then_the_next_is_waited_for(monkeypatch, tmp_path):
    clock = [at(6, 12)]
    waits = []

    def wait(self, span):
        waits.append(span)
        clock[0] += span
        if len(waits) == 3:
            raise EndOfTest

    def back_up(self, folder, keep):
        assert keep == 14
        if not waits:
            raise CommandError("No backup was made. The database can't be reached")
        stamp = clock[0].strftime("%Y-%m-%dT%H-%M-%SZ")
        (folder / f"earstone-{stamp}.zip").touch()

    monkeypatch.setattr(backup.Command, "wait", wait)
    monkeypatch.setattr(backup.Command, "back_up", back_up)
    monkeypatch.setattr("django.utils.timezone.now", lambda: clock[0])

    with pytest.raises(EndOfTest):
        backup.Command().back_up_nightly(tmp_path, HALF_PAST_TWO, 14)

    assert [path.name for path in tmp_path.iterdir()] == ["earstone-2026-05-06T12-10-00Z.zip"]
    assert waits[0] == RETRY_AFTER
    assert max(waits) <= timedelta(minutes=10)


@pytest.mark.parametrize("words", ["half past two", "25:00", "2"])
def test_a_time_that_is_none(words):
    with pytest.raises(ArgumentTypeError, match="such as 08:30"):
        backup.a_time(words)


@pytest.mark.parametrize("words", ["0", "-1", "two", "²"])
def test_a_count_that_is_none(words):
    with pytest.raises(ArgumentTypeError, match="such as 14"):
        backup.a_count(words)
