"""A guide at the ramp with an open party and vials in hand, on the day the party is of."""

from datetime import timedelta

import pytest
from django.utils import timezone

from tests.people import NOW

# So that an instant of a test's own is told from one of the clock.
LATER = timedelta(minutes=10)


class Clock:
    """The clock of the pages: it runs on from May 6, 2026, and can be put forward."""

    def __init__(self, plain):
        self._plain, self.ahead = plain, NOW + LATER - plain()

    def __call__(self):
        return self._plain() + self.ahead


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """Let a party that was opened at `NOW` be one of today."""
    clock = Clock(timezone.now)
    monkeypatch.setattr(timezone, "now", clock)
    return clock


@pytest.fixture
def ramp(client, guide, party, vials):
    client.force_login(guide)
    return client


@pytest.fixture
def desk(client, office):
    client.force_login(office)
    return client
