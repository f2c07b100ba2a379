"""The day on which every journey is made."""

import pytest
from django.utils import timezone

from tests.people import NOW


@pytest.fixture(autouse=True)
def sixth_of_may(monkeypatch):
    """Let the clock of the pages run on from 6 May 2026: what is logged falls into the season."""
    now, began = timezone.now, timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: NOW + (now() - began))
