"""The day on which every journey is made, and a lake where everything has happened once."""

import pytest
from django.utils import timezone

from samples.models import Fish, Target, Vial
from tests.lab.making import put_in_lab, read
from tests.people import INCH, NOW
from tests.test_permissions import things

__all__ = ["busy", "sixth_of_may", "things"]


@pytest.fixture(autouse=True)
def sixth_of_may(monkeypatch):
    """Let the clock of the pages run on from 6 May 2026: what is logged falls into the season."""
    now, began = timezone.now, timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: NOW + (now() - began))


@pytest.fixture
def busy(things, vials, party, season, white, black, brindle, reader, biologist):
    """Rows in every list: ages agreed, by one reader and to settle, vials without their fish."""
    used, without_log = vials[0], vials[5]
    used.state = Vial.State.USED
    used.save()
    put_in_lab(without_log, party, white)
    Fish.objects.filter(vial=without_log).update(vial=None)
    agreed, alone, differing, unread = (
        put_in_lab(vials[place], party, species, inches=inches).vial
        for place, species, inches in [
            (1, white, 9),
            (2, white, 10),
            (3, black, 11),
            (4, white, 12),
        ]
    )
    for vial, annuli, margin, person in [
        (agreed, 3, 4, reader),
        (agreed, 3, 4, biologist),
        (alone, 4, 4, reader),
        (differing, 4, 4, reader),
        (differing, 5, 4, biologist),
    ]:
        read(vial, person, annuli, margin)
    for arm, wanted in [(brindle, 3), (None, 10)]:
        for inches in (9, 10, 12):
            Target.objects.create(
                season=season,
                species=white,
                arm=arm,
                from_hundredths_mm=inches * INCH,
                below_hundredths_mm=(inches + 1) * INCH,
                wanted=wanted,
            )
    return things | {"number": agreed.number, "unread": unread.number}
