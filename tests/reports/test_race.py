"""Two people with one report at one moment, played out with a lock and not with luck."""

import pytest

from samples.models import ReportBlock, User
from samples.reports import services
from tests.asks.test_race import race
from tests.people import NOW
from tests.reports.rows import make_report

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def block(lake, biologist):
    return make_report(lake, biologist).blocks.order_by("place")[0]


def found_anew(block, biologist):
    """Return rows of one's own: another connection knows no other's."""
    return ReportBlock.objects.get(pk=block.pk), User.objects.get(pk=biologist.pk)


def write_words(block, biologist):
    return services.change_block(block, version=1, words="Seen.", actor=biologist, now=NOW)


def test_words_saved_while_the_block_is_moved_stay(block, biologist):
    def move():
        own, person = found_anew(block, biologist)
        services.move_block(own, up=False, actor=person, now=NOW)

    race(lambda: write_words(block, biologist), move)

    block.refresh_from_db()
    assert (block.place, block.words) == (1, "Seen.")


def test_words_saved_while_the_block_is_removed_are_not_lost(block, biologist):
    def remove():
        own, person = found_anew(block, biologist)
        services.remove_block(own, version=1, actor=person, now=NOW)

    _, told = race(lambda: write_words(block, biologist), remove)

    assert isinstance(told, services.ReportChanged)
    assert ReportBlock.objects.get(pk=block.pk).words == "Seen."
