"""The day on which every journey is made, and a lake where everything has happened once."""

import pytest
from django.utils import timezone

from samples.models import Fish, Vial
from tests.door_things import things
from tests.journeys.pocket import Pocket, Wire, link_of, open_party, sign_in_by_link
from tests.lab.making import put_in_lab, read
from tests.people import NOW
from tests.targets.pages import want

__all__ = ["busy", "sixth_of_may", "things"]


@pytest.fixture(autouse=True)
def sixth_of_may(monkeypatch):
    """Let the clock of the pages run on from May 6, 2026: what is logged falls into the season."""
    now, began = timezone.now, timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: NOW + (now() - began))


@pytest.fixture
def busy(things, vials, party, season, white, black, brindle, reader, biologist):
    """Return rows in every list: ages agreed, by one reader and to settle,
    vials without their fish.
    """
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
            want(season, white, inches, wanted, arm)
    return things | {"number": agreed.number, "unread": unread.number}


# ---------- A phone without signal ----------


@pytest.fixture
def wire(live_server):
    wire = Wire(live_server.url)
    yield wire
    wire.cut()


@pytest.fixture
def pocket(browser, wire, tmp_path):
    pocket = Pocket(browser.browser_type, wire, tmp_path / "profile")
    yield pocket
    pocket.stop()
    assert pocket.complaints == []


@pytest.fixture
def thirty(vials, guide):
    """Return all thirty vials in the guide's hands."""
    Vial.objects.update(state=Vial.State.ISSUED, issued_to=guide)
    return vials


@pytest.fixture
def at_ramp(pocket, guide, biologist, thirty):
    """Return the guide's phone, signed in by the link, with a party open in Brindle."""
    pocket.link = link_of(guide, biologist)
    pocket.start()
    sign_in_by_link(pocket, pocket.link.token)
    open_party(pocket.page)
    return pocket
