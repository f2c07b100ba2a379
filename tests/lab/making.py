"""Fish whose vials lie in the lab, and readings of them, made in a line."""

from datetime import date, timedelta
from uuid import uuid4

from samples.lab import services
from samples.models import Fish, Progress, Vial
from tests.people import INCH, NOW

TODAY = date(2026, 5, 6)


def put_in_lab(vial, party, species, *, caught_on=TODAY, inches=10, **vial_facts):
    """Log a fish against a vial and let the office receive it."""
    vial.state = Vial.State.RECEIVED
    vial.received_at, vial.received_by = NOW - timedelta(days=1), party.opened_by
    for name, value in vial_facts.items():
        setattr(vial, name, value)
    vial.save()
    return Fish.objects.create(
        entry_id=uuid4(),
        fingerprint="fish",
        party=party,
        lake=party.lake,
        season=party.season,
        arm=party.arm,
        donor=party.donor,
        method=party.method,
        caught_on=caught_on,
        species=species,
        sex="F",
        length_hundredths_mm=inches * INCH,
        length_as_measured=f"{inches}.0",
        length_unit_as_measured="in",
        vial=vial,
        progress=Progress.RECEIVED,
        logged_by=party.opened_by,
        logged_at=NOW,
        received_at=NOW,
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
