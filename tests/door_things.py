"""One of everything that an address of the site names."""

from uuid import uuid4

import pytest
from django.core.files.base import ContentFile

from samples.accounts.links import make_link, make_phone
from samples.models import (
    Ask,
    Computation,
    Donor,
    DonorMessage,
    LabelPrint,
    OpenSession,
    Photo,
    Preparation,
    Reading,
    ReferenceOtolith,
    Regulation,
    SavedView,
    SecondReadingRequest,
    UnmeasuredCount,
)
from tests.custody.rows import make_box, make_tray
from tests.factories import make_fish, make_held_fish, make_stock, make_trip_like
from tests.lab.making import make_session
from tests.people import NOW, make_person
from tests.pictures.making import make_pictures
from tests.reports.rows import make_report_rows
from tests.waters.figures import make_figures


@pytest.fixture
def things(party, white, vials, guide, biologist, reader, office, lake):
    """One row of everything that an address can name, all of this lake."""
    fish = make_fish(party, white, vial=vials[0])
    held = make_held_fish(lake, guide, entry_id=fish.entry_id)
    lake_species = lake.lake_species.first()
    Photo.objects.create(
        fish=fish,
        file=ContentFile(b"a picture", "a.jpg"),
        width_px=800,
        height_px=600,
        sent_by=guide,
        received_at=NOW,
    )
    lake.shares_pictures = True
    lake.save(update_fields=["shares_pictures"])
    return {
        "person": guide.pk,
        "donor": Donor.objects.get(person=guide).pk,
        "of_note": fish.pk,
        "donor_message": DonorMessage.objects.create(
            lake=lake, text="Thank you", posted_by=biologist, posted_at=NOW
        ).pk,
        "membership": guide.memberships.get().pk,
        "link": make_link(guide, made_by=biologist, good_until=NOW.date(), now=NOW).link.pk,
        "phone": make_phone(guide, now=NOW).phone.pk,
        "session": OpenSession.objects.create(person=guide, session_key="x", began_at=NOW).pk,
        "a_phone": make_phone(make_person(lake, "guide", "Q. Lund"), now=NOW).phone.pk,
        "arm": lake.arms.first().pk,
        "reach": lake.arms.first().reaches.first().pk,
        "lake_species": lake_species.pk,
        "species": lake_species.species_id,
        "group": lake_species.species.group_id,
        "season": lake.seasons.get().pk,
        "regulation": Regulation.objects.create(
            lake=lake, in_force_from=NOW.date(), words="30 a day"
        ).pk,
        **{name: row.pk for name, row in make_figures(lake, white, biologist).items()},
        "photographed": fish.pk,
        "held": held.pk,
        "reading": Reading.objects.create(
            vial=vials[19], reader=reader, sitting_on=NOW.date(), annuli=4, read_at=NOW
        ).pk,
        "reading_session": make_session(lake, biologist, vials[0]).pk,
        "reading_request": SecondReadingRequest.objects.create(
            vial=vials[19], asked_by=biologist, asked_at=NOW
        ).pk,
        "reference": ReferenceOtolith.objects.create(
            vial=vials[0], age_years=4, kind="known", added_by=biologist, added_at=NOW
        ).pk,
        "preparation": Preparation.objects.create(
            lake=lake, vial=vials[18], number=1, kind="section", made_by=reader, made_at=NOW
        ).pk,
        "waiting": make_fish(party, white, vial_number_said="26 0001 8", method="trap_net").pk,
        "number": vials[0].number,
        "marked": vials[0].number,
        "entry_id": fish.entry_id,
        "party_id": party.party_id,
        "count_id": UnmeasuredCount.objects.create(
            entry_id=uuid4(),
            party=party,
            species=white,
            count=4,
            logged_by=guide,
            logged_at=NOW,
            received_at=NOW,
        ).entry_id,
        "run": vials[0].run_id,
        "year": 2026,
        "stock": "sheet-35x15",
        "page": 1,
        "own_stock": make_stock(lake, biologist).pk,
        "label_print": LabelPrint.objects.create(
            lake=lake,
            year=2026,
            ranges=[[1, 3]],
            count=3,
            stock="sheet-35x15",
            made_by=biologist,
            made_at=NOW,
            request_id=uuid4(),
        ).pk,
        "ask": Ask.objects.create(
            season=lake.seasons.get(),
            is_public=True,
            people_asked=1,
            sent_by=biologist,
            sent_at=NOW,
        ).pk,
        "net_set": make_trip_like(party, method="trap_net", net_nights=1, closed_at=NOW).pk,
        "view": SavedView.objects.create(
            lake=lake, name="Females", path="/lakes/lake-orrinbeck/coverage/", query="sex=F"
        ).pk,
        "topic": "sizes",
        "for_the_public": "length-limit",
        "computation": Computation.objects.create(
            key="k",
            kind="finding",
            arguments={"lake": lake.pk, "topic": "sizes", "query": ""},
            state="queued",
            queued_at=NOW,
        ).pk,
        "place": 0,
        "kind": "csv",
        **{name: row.pk for name, row in make_pictures(vials[0], reader).items()},
        "edge": 0,
        **make_report_rows(lake, biologist),
        "tray": make_tray(lake, office).pk,
        "box": make_box(lake, office).pk,
    }
