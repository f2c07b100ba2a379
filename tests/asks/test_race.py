"""Two biologists with one list at one moment, played out with a lock and not with luck."""

import threading
from datetime import timedelta

import pytest
from django.db import connection, transaction

from samples.asks import services
from samples.models import Ask, Season, User
from samples.targets.queries.asks import ask_in_force
from tests.asks.test_asks import send
from tests.people import NOW, make_person
from tests.waiting import LONGEST_S, wait_until_somebody_waits_for_a_lock

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
LATER = NOW + timedelta(minutes=1)


def race(first, second):
    """Do one thing, and the other from another connection before the first is committed."""
    heard: list[object] = []

    def do_second():
        try:
            heard.append(second())
        except Exception as problem:
            heard.append(problem)
        finally:
            connection.close()

    thread = threading.Thread(target=do_second)
    with transaction.atomic():
        answer = first()
        thread.start()
        wait_until_somebody_waits_for_a_lock()
    thread.join(timeout=LONGEST_S)
    return answer, heard[0]


@pytest.fixture
def colleague(lake):
    return make_person(lake, "biologist", "E. Sorrel")


def sent_by(season, person, arm, **more):
    """Return what sends the list, with rows of its own: another connection knows no other's."""
    return lambda: send(
        Season.objects.get(pk=season.pk), User.objects.get(pk=person.pk), arm, **more
    )


def test_the_same_list_of_two_at_once_goes_out_once(season, biologist, colleague, brindle, guide):
    first, second = race(
        sent_by(season, biologist, brindle), sent_by(season, colleague, brindle, now=LATER)
    )

    assert first == second == Ask.objects.get()


def test_of_two_lists_at_once_the_later_one_is_out(season, lake, biologist, colleague, brindle):
    _, second = race(
        sent_by(season, biologist, brindle),
        sent_by(season, colleague, brindle, words="Others", now=LATER),
    )

    assert Ask.objects.count() == 2
    assert ask_in_force(lake, now=LATER) == second


def test_a_list_sent_while_the_same_one_is_stopped_is_out(
    season, lake, biologist, colleague, brindle
):
    out = send(season, biologist, brindle)

    race(
        lambda: services.stop_ask(out, actor=biologist, now=LATER),
        sent_by(season, colleague, brindle, now=LATER),
    )

    assert ask_in_force(lake, now=LATER) not in (None, out)
