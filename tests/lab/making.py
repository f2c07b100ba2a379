"""Fish whose vials lie in the lab, and readings of them, made in a line."""

from datetime import date, timedelta
from uuid import uuid4

from samples.lab import services
from samples.lab.presenters.deciding import seen_of
from samples.models import Progress, ReadingSession, SessionOtolith, Vial
from tests.factories import make_fish
from tests.people import NOW

TODAY = date(2026, 5, 6)


def put_in_lab(vial, party, species, *, caught_on=TODAY, inches=10, **vial_facts):
    """Log a fish against a vial and let the office receive it."""
    vial.state = Vial.State.RECEIVED
    vial.received_at, vial.received_by = NOW - timedelta(days=1), party.opened_by
    for name, value in vial_facts.items():
        setattr(vial, name, value)
    vial.save()
    return make_fish(
        party,
        species,
        inches=inches,
        caught_on=caught_on,
        vial=vial,
        progress=Progress.RECEIVED,
    )


def read(vial, reader, annuli, margin, *, now=NOW, sitting_on=TODAY, method="whole", **more):
    """Save one reading, as a page would."""
    return services.save_reading(
        vial=vial,
        reader=reader,
        annuli=annuli,
        margin=margin,
        method=method,
        readability=more.pop("readability", None),
        length_was_hidden=more.pop("length_was_hidden", True),
        sitting_on=sitting_on,
        now=now,
        **more,
    )


def make_session(lake, reader, *vials, stream="first", **facts):
    """Return an open session of these vials, in this order."""
    session = ReadingSession.objects.create(
        lake=lake,
        reader=reader,
        seed=1,
        opened_at=NOW,
        request_id=uuid4(),
        **{"purpose": "next", **facts},
    )
    SessionOtolith.objects.bulk_create(
        SessionOtolith(session=session, place=place, vial=vial, stream=stream)
        for place, vial in enumerate(vials, start=1)
    )
    return session


def decision(fish, **changes):
    """Return what the page of a decision sends: an age of 5, as that page stood just now."""
    usual = {"outcome": "other", "age_years": "5", "how": "section", "note": "Sectioned"}
    return {"seen": seen_of(fish), **usual, **changes}
