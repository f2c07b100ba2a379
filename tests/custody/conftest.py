from datetime import timedelta

import pytest
from django.urls import reverse

from samples.custody import services
from samples.models import Vial
from tests.custody.rows import make_box, make_tray
from tests.people import CAUGHT_ON, NOW, make_person, make_vials


@pytest.fixture
def tray(lake, office):
    return make_tray(lake, office)


@pytest.fixture
def scan(tray, office):
    """Put vials to clear a second apart, each by its number."""
    seconds = iter(range(1000))

    def scan(typed, *, into=tray, by=office, today=CAUGHT_ON, **more):
        now = NOW + timedelta(seconds=next(seconds))
        return services.put_in_tray(tray=into, number=typed, actor=by, now=now, today=today, **more)

    return scan


@pytest.fixture
def finish(tray, office):
    """Make a tray ready, or rinse and dry it, a minute later."""

    def finish(service, *, today, **more):
        return service(tray=tray, actor=office, now=NOW + timedelta(minutes=1), today=today, **more)

    return finish


@pytest.fixture
def box(lake, office):
    """Return a box of six slots, A1 to B3."""
    return make_box(lake, office)


@pytest.fixture
def vials(season, office):
    """Eight printed vials from 26 0001."""
    made = make_vials(season, first=1, count=8, by=office)
    Vial.history.update(history_date=NOW - timedelta(days=2))
    return made


@pytest.fixture
def desk(client, office):
    client.force_login(office, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def make_guide(lake):
    """Make guides, each with a name of their own."""
    count = iter(range(1, 100))
    return lambda: make_person(lake, "guide", f"Guide {next(count)}")


@pytest.fixture
def kit(vials, guide):
    """Return five vials in the guide's hands, the first of them used."""
    for vial in vials[:5]:
        vial.state, vial.issued_to = Vial.State.ISSUED, guide
        vial.issued_at = NOW - timedelta(days=9)
        vial.save()
    Vial.objects.filter(pk=vials[0].pk).update(state="used")
    return vials[:5]


@pytest.fixture
def page(lake, guide):
    return reverse("custody:holder", args=[lake.slug, guide.pk])
