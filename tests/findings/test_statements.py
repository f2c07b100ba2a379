"""How often a finding asks the database, all of page and worker together.

Cold, the results that PostgreSQL keeps are not counted; from the cache they are.
What is worked out asks nothing: `made` watches over that, so here it is left out.
"""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from samples.findings.page_model import Page
from samples.findings.topics import TOPICS, Topic
from samples.models import Arm

COLD, CACHED = 25, 8
ARMS = 5


def without(statements, *tables):
    return [one for one in statements if not any(table in one for table in tables)]


@pytest.fixture
def five_arms(lake, brindle, aged, entered):
    """Aged fish of five arms with a donor, and what was entered for each arm and the lake."""
    others = [
        Arm.objects.create(lake=lake, name=f"Arm {place}", position=10 + place)
        for place in range(1, ARMS)
    ]
    for arm in [brindle, *others]:
        aged(3, [8.0, 9.0], arm=arm)
        entered(arm=arm)
    entered()


@pytest.fixture
def statements(page):
    """Return the statements of a page: statements("growth")."""

    def ask(topic):
        with CaptureQueriesContext(connection) as asked:
            assert page(topic, "?limit_1=10").status_code == 200
        return without([one["sql"] for one in asked], "SAVEPOINT")

    return ask


@pytest.mark.parametrize("topic", TOPICS)
def test_statements_of_a_page(topic, statements, five_arms, monkeypatch):
    monkeypatch.setattr(Topic, "build", lambda self, query: Page(self.title))

    cold = without(statements(topic), "samples_stored_result")
    cached = statements(topic)

    assert "samples_fish" in " ".join(cold)
    assert len(cold) <= COLD, cold
    assert len(cached) <= CACHED, cached
