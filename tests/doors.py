"""The table of every address of the site: whose role opens it, and what its address names."""

from uuid import uuid4

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse

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

ROLES = ["guide", "clerk", "office", "reader", "biologist"]
LOGGERS = {"guide", "clerk", "biologist"}
VIALS = {"office", "biologist"}
READERS = {"reader", "biologist"}
BIOLOGIST = {"biologist"}
STAFF = {"office", "reader", "biologist"}
EVERYBODY = set(ROLES)
# What all lakes share: nobody by a role at one of them.
ADMINISTRATOR: set[str] = set()

# Doors at a lake: name, who may open it, what its address names besides the lake.
AT_LAKE = [
    ("today", EVERYBODY, {}),
    ("search:search", STAFF, {}),
    ("search:terms", STAFF, {}),
    ("today:saved_views", BIOLOGIST, {}),
    ("today:save_view", BIOLOGIST, {}),
    ("today:change_view", BIOLOGIST, {"pk": "view"}),
    ("today:remove_view", BIOLOGIST, {"pk": "view"}),
    ("findings:findings", BIOLOGIST, {}),
    ("findings:public", BIOLOGIST, {"topic": "for_the_public"}),
    ("findings:finding", BIOLOGIST, {"topic": "topic"}),
    ("findings:figure", BIOLOGIST, {"topic": "topic", "place": "place", "kind": "kind"}),
    ("findings:computation", BIOLOGIST, {"pk": "computation"}),
    ("findings:cancel", BIOLOGIST, {"pk": "computation"}),
    ("findings:compute_again", BIOLOGIST, {"pk": "computation"}),
    ("findings:table", BIOLOGIST, {"topic": "topic", "place": "place", "kind": "kind"}),
    ("accounts:people", BIOLOGIST, {}),
    ("accounts:person", BIOLOGIST, {"pk": "person"}),
    ("accounts:take_back_link", BIOLOGIST, {"pk": "person", "link_pk": "link"}),
    ("accounts:take_back_phone", BIOLOGIST, {"pk": "person", "phone_pk": "phone"}),
    ("accounts:take_role_away", BIOLOGIST, {"pk": "person", "membership_pk": "membership"}),
    ("waters:lake", BIOLOGIST, {}),
    ("waters:edit_lake", BIOLOGIST, {}),
    ("waters:copy_settings", BIOLOGIST, {}),
    ("waters:add_listed_species", BIOLOGIST, {}),
    ("waters:arms", BIOLOGIST, {}),
    ("waters:arm", BIOLOGIST, {"pk": "arm"}),
    ("waters:move_arm", BIOLOGIST, {"pk": "arm"}),
    ("waters:remove_arm", BIOLOGIST, {"pk": "arm"}),
    ("waters:add_reach", BIOLOGIST, {"pk": "arm"}),
    ("waters:reach", BIOLOGIST, {"pk": "reach"}),
    ("waters:move_reach", BIOLOGIST, {"pk": "reach"}),
    ("waters:remove_reach", BIOLOGIST, {"pk": "reach"}),
    ("waters:species", BIOLOGIST, {}),
    ("waters:take_up", BIOLOGIST, {}),
    ("waters:add_species", BIOLOGIST, {}),
    ("waters:lake_species", BIOLOGIST, {"pk": "lake_species"}),
    ("waters:move_lake_species", BIOLOGIST, {"pk": "lake_species"}),
    ("waters:remove_lake_species", BIOLOGIST, {"pk": "lake_species"}),
    ("waters:edit_species", ADMINISTRATOR, {"pk": "species"}),
    ("waters:group", BIOLOGIST, {"pk": "group"}),
    ("waters:seasons", BIOLOGIST, {}),
    ("waters:add_season", BIOLOGIST, {}),
    ("waters:season", BIOLOGIST, {"pk": "season"}),
    ("waters:regulations", BIOLOGIST, {}),
    ("waters:add_regulation", BIOLOGIST, {}),
    ("waters:regulation", BIOLOGIST, {"pk": "regulation"}),
    ("waters:elsewhere", BIOLOGIST, {}),
    ("waters:add_natural_death", BIOLOGIST, {}),
    ("waters:natural_death", BIOLOGIST, {"pk": "natural_death"}),
    ("waters:remove_natural_death", BIOLOGIST, {"pk": "natural_death"}),
    ("waters:add_release_death", BIOLOGIST, {}),
    ("waters:release_death", BIOLOGIST, {"pk": "release_death"}),
    ("waters:remove_release_death", BIOLOGIST, {"pk": "release_death"}),
    ("waters:add_tag_returns", BIOLOGIST, {}),
    ("waters:tag_returns", BIOLOGIST, {"pk": "tag_returns"}),
    ("waters:remove_tag_returns", BIOLOGIST, {"pk": "tag_returns"}),
    ("waters:add_creel_figures", BIOLOGIST, {}),
    ("waters:creel_figures", BIOLOGIST, {"pk": "creel_figures"}),
    ("waters:remove_creel_figures", BIOLOGIST, {"pk": "creel_figures"}),
    ("ramp:photo", VIALS, {"pk": "photographed"}),
    ("ramp:held", VIALS, {}),
    ("ramp:held_entry", VIALS, {"pk": "held"}),
    ("ramp:give_vial", VIALS, {"pk": "waiting"}),
    ("ramp:paste", VIALS, {}),
    ("lab:grid", READERS, {}),
    ("lab:save_row", READERS, {}),
    ("lab:sessions", READERS, {}),
    # A session opens to its own reader alone, who is the biologist here.
    ("lab:session", BIOLOGIST, {"pk": "reading_session"}),
    ("lab:session_marks", BIOLOGIST, {"pk": "reading_session"}),
    ("lab:session_age", BIOLOGIST, {"pk": "reading_session"}),
    ("lab:session_vials", BIOLOGIST, {"pk": "reading_session"}),
    ("lab:end_session", BIOLOGIST, {"pk": "reading_session"}),
    ("lab:quality", READERS, {}),
    ("lab:set_percent", BIOLOGIST, {}),
    ("lab:ask_second", BIOLOGIST, {}),
    ("lab:unask_second", BIOLOGIST, {"pk": "reading_request"}),
    ("lab:add_reference", BIOLOGIST, {}),
    ("lab:retire_reference", BIOLOGIST, {"pk": "reference"}),
    ("lab:settle", BIOLOGIST, {}),
    ("lab:work_out", BIOLOGIST, {}),
    ("lab:swapped", BIOLOGIST, {}),
    ("lab:check_vials", BIOLOGIST, {}),
    ("lab:vial", BIOLOGIST, {"number": "number"}),
    ("lab:decide", BIOLOGIST, {"number": "number"}),
    ("lab:consensus_rule", BIOLOGIST, {}),
    ("lab:preparations", STAFF, {}),
    ("lab:prepare", STAFF, {"number": "number"}),
    ("lab:drop_requests", STAFF, {"number": "number"}),
    ("lab:preparation", STAFF, {"pk": "preparation"}),
    ("lab:add_step", STAFF, {"pk": "preparation"}),
    ("lab:remove_step", STAFF, {"pk": "preparation"}),
    ("lab:spoil", STAFF, {"pk": "preparation"}),
    ("lab:restore", STAFF, {"pk": "preparation"}),
    ("lab:undo", BIOLOGIST, {"number": "number"}),
    ("lab:take_back", READERS, {"pk": "reading"}),
    ("lab:marks", READERS, {"number": "marked"}),
    ("lab:profile", READERS, {"pk": "picture"}),
    ("pictures:pictures", READERS, {}),
    ("pictures:upload", READERS, {}),
    ("pictures:upload_one", READERS, {}),
    ("pictures:confirm", READERS, {}),
    ("pictures:scales", READERS, {}),
    ("pictures:scale", READERS, {"pk": "micrometer"}),
    ("pictures:picture", READERS, {"pk": "picture"}),
    ("pictures:delete", READERS, {"pk": "picture"}),
    ("pictures:copy", READERS, {"pk": "picture"}),
    ("pictures:thumbnail", READERS, {"pk": "picture"}),
    ("pictures:original", READERS, {"pk": "picture"}),
    ("pictures:tiles", READERS, {"pk": "picture"}),
    ("pictures:tile", READERS, {"pk": "picture", "level": "edge", "column": "edge", "row": "edge"}),
    ("targets:coverage", BIOLOGIST, {}),
    ("targets:coverage_csv", BIOLOGIST, {}),
    ("targets:worth", BIOLOGIST, {}),
    ("seasons:progress", BIOLOGIST, {}),
    ("seasons:weeks_csv", BIOLOGIST, {}),
    ("seasons:plan", BIOLOGIST, {}),
    ("targets:fish", BIOLOGIST, {}),
    ("targets:fish_csv", BIOLOGIST, {}),
    ("targets:fish_xlsx", BIOLOGIST, {}),
    ("targets:targets", BIOLOGIST, {}),
    ("nets:plan", BIOLOGIST, {}),
    ("nets:sheet", BIOLOGIST, {}),
    ("nets:record", {"clerk", "biologist"}, {}),
    ("nets:delete", BIOLOGIST, {"pk": "net_set"}),
    ("reports:reports", BIOLOGIST, {}),
    ("reports:add", BIOLOGIST, {"topic": "topic"}),
    ("reports:report", BIOLOGIST, {"pk": "report"}),
    ("reports:make", BIOLOGIST, {"pk": "report"}),
    ("reports:add_block", BIOLOGIST, {"pk": "report"}),
    ("reports:block", BIOLOGIST, {"pk": "report", "block": "report_block"}),
    ("reports:move", BIOLOGIST, {"pk": "report", "block": "report_block"}),
    ("reports:remove", BIOLOGIST, {"pk": "report", "block": "report_block"}),
    (
        "reports:draft_file",
        BIOLOGIST,
        {"pk": "report", "number": "draft_number", "kind": "report_format"},
    ),
    ("asks:asks", BIOLOGIST, {}),
    ("asks:stop", BIOLOGIST, {}),
    ("asks:poster", BIOLOGIST, {"pk": "ask"}),
    ("donors:donors", BIOLOGIST, {}),
    ("donors:switches", BIOLOGIST, {}),
    ("donors:donor", BIOLOGIST, {"pk": "donor"}),
    ("donors:address", BIOLOGIST, {"pk": "donor"}),
    ("donors:forget", BIOLOGIST, {"pk": "donor"}),
    ("donors:card", BIOLOGIST, {"pk": "donor", "season_pk": "season"}),
    ("donors:certificate", BIOLOGIST, {"pk": "donor", "fish_pk": "of_note"}),
    ("donors:messages", BIOLOGIST, {}),
    ("donors:message", BIOLOGIST, {"pk": "donor_message"}),
    ("donors:withdraw", BIOLOGIST, {"pk": "donor_message"}),
    ("donors:mail", BIOLOGIST, {"pk": "donor_message"}),
    ("donors:own_mail", LOGGERS, {}),
    ("vials:labels", VIALS, {}),
    ("vials:issue", VIALS, {}),
    ("vials:receive", VIALS, {}),
    ("vials:find", VIALS, {}),
    ("vials:digits", ADMINISTRATOR, {"year": "year"}),
    ("vials:printer", VIALS, {"stock": "stock"}),
    ("vials:test_page", VIALS, {"stock": "stock"}),
    ("vials:picture", VIALS, {"page": "page"}),
    ("vials:stocks", VIALS, {}),
    ("vials:add_stock", VIALS, {}),
    ("vials:stock_picture", VIALS, {"page": "page"}),
    ("vials:stock", VIALS, {"pk": "own_stock"}),
    ("vials:retire_stock", VIALS, {"pk": "own_stock"}),
    ("vials:reprint", VIALS, {}),
    ("vials:print", VIALS, {"pk": "label_print"}),
    ("vials:print_pdf", VIALS, {"pk": "label_print"}),
    ("vials:print_status", VIALS, {"pk": "label_print"}),
    ("vials:draw_again", VIALS, {"pk": "label_print"}),
    ("vials:run", VIALS, {"pk": "run"}),
    ("vials:run_pdf", VIALS, {"pk": "run"}),
    ("vials:void", VIALS, {"pk": "run"}),
    ("vials:take_back", VIALS, {}),
    ("vials:mark", VIALS, {"number": "number"}),
    ("search:vial", VIALS, {"number": "number"}),
    ("custody:trays", VIALS, {}),
    ("custody:media", VIALS, {}),
    ("custody:tray", VIALS, {"pk": "tray"}),
    ("custody:finish_tray", VIALS, {"pk": "tray"}),
    ("custody:archive", VIALS, {}),
    ("custody:index_pdf", VIALS, {}),
    ("custody:out", VIALS, {}),
    ("custody:unmapped", VIALS, {}),
    ("custody:box", VIALS, {"pk": "box"}),
    ("custody:box_place", VIALS, {"pk": "box"}),
    ("custody:map_pdf", VIALS, {"pk": "box"}),
    ("custody:kits", VIALS, {}),
    ("custody:holder", VIALS, {"pk": "person"}),
    ("custody:card_pdf", VIALS, {"pk": "person"}),
    ("custody:slips_pdf", VIALS, {"pk": "person"}),
]
# Doors that belong to no lake in the address: each shows a person their own things only.
OF_A_PERSON = [
    ("home", EVERYBODY, {}),
    ("today:lakes", EVERYBODY, {}),
    ("waters:add_lake", ADMINISTRATOR, {}),
    ("accounts:account", EVERYBODY, {}),
    ("accounts:change_password", EVERYBODY, {}),
    ("accounts:end_session", set(), {"pk": "session"}),
    ("accounts:end_phone", set(), {"pk": "a_phone"}),
    ("ramp:log", LOGGERS, {}),
    ("ramp:open_party", LOGGERS, {}),
    ("ramp:change_party", LOGGERS, {}),
    ("ramp:close_party", LOGGERS, {}),
    ("ramp:shift", LOGGERS, {}),
    ("ramp:carry_on", LOGGERS, {}),
    ("ramp:reopen_party", LOGGERS, {"party_id": "party_id"}),
    ("ramp:count", {"clerk", "biologist"}, {}),
    ("ramp:undo_count", {"clerk", "biologist"}, {"entry_id": "count_id"}),
    ("donors:own_card", LOGGERS, {"season_pk": "season"}),
    ("donors:own_certificate", LOGGERS, {"pk": "of_note"}),
    ("donors:own_picture", LOGGERS, {"pk": "of_note"}),
    ("ramp:correct", LOGGERS, {"entry_id": "entry_id"}),
    ("ramp:undo", LOGGERS, {"entry_id": "entry_id"}),
    ("ramp:mine", LOGGERS, {}),
    ("targets:needed", LOGGERS, {}),
]
# Doors that open to anybody, signed in or not, and tell nobody anything about a person.
OPEN = [
    "accounts:sign_in",
    "accounts:sign_in_as",
    "accounts:sign_out",
    "accounts:this_is_me",
    "accounts:lost_password",
    "accounts:password_by_link",
    "accounts:signed_out_everywhere",
    "ramp:vial_link",
    "ramp:how_old",
    "asks:public",
    "asks:feed",
    "donors:stop_mail",
    "ramp:screen",
    "ramp:shell",
    "ramp:script",
    "ramp:worker",
    "ramp:manifest",
    "api_schema",
]
# The outbox takes JSON alone, so a form that came past its door is told so.
WITH_A_PHONE = [
    ("outbox", LOGGERS, 415),
    ("pick_lists", LOGGERS, 200),
    ("my_fish", LOGGERS, 200),
    ("needed", LOGGERS, 200),
    # It only takes a photo: looked at, it says so.
    ("photo_of_fish", LOGGERS, 405),
]
NAMED_BY_A_PHONE = {"photo_of_fish": {"entry_id": uuid4(), "sha256": "0" * 64}}
# Gives a phone its token: to a session, or for a personal link.
FOR_A_SESSION = [("phones", LOGGERS)]
# Ends the session that it is tried with; tests/accounts/test_account.py tries it.
ENDS_THE_SESSION = ["accounts:sign_out_everywhere"]


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


def address_of(name, names, things, slug=None):
    kwargs = {word: things[thing] for word, thing in names.items()}
    return reverse(name, kwargs=kwargs | ({"slug": slug} if slug else {}))
