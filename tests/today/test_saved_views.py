"""Views kept under a name: whose they are, who sees them, and what their address may be."""

from urllib.parse import parse_qs

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from samples.accounts import permissions
from samples.accounts.permissions import Permission
from samples.findings.topics import OFFERED
from samples.models import Arm, SavedView
from samples.today.rules import MOST_VIEWS, tidy_query, viewed_page
from samples.today.services import ViewRefused, change_view
from tests.people import make_person
from tests.shown import error_codes

TODAY = "/lakes/lake-orrinbeck/"
VIEWS, SAVE = f"{TODAY}views/", f"{TODAY}views/save/"
COVERAGE = f"{TODAY}coverage/"
pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client, biologist):
    client.force_login(biologist)
    return client


@pytest.fixture
def second(lake):
    return make_person(lake, "biologist", "S. Second")


def typed(**others):
    return {"name": "Females of 2026", "path": COVERAGE, "query": "sex=F&season=2026", **others}


def listed(client, address=TODAY):
    """Return the saved views on Today by name, each with what its address leads to."""
    return {one.view.name: one for one in client.get(address).context["saved_views"]}


def test_what_was_chosen_on_a_page_is_kept_and_opens_again(desk, biologist):
    page = desk.get(f"{COVERAGE}?sex=F&season=2026&method=&page=2").content.decode()
    [link] = [part.split('"')[0] for part in page.split('href="') if part.startswith(SAVE)]
    asked = desk.get(link.replace("&amp;", "&"))
    initial = asked.context["form"].initial

    answer = desk.post(SAVE, {"name": "Females of  2026", **initial}, follow=True)

    view = SavedView.objects.get()
    assert (view.name, view.person, view.path) == ("Females of 2026", biologist, COVERAGE)
    assert answer.request["PATH_INFO"] == COVERAGE
    assert parse_qs(answer.request["QUERY_STRING"]) == {"sex": ["F"], "season": ["2026"]}
    assert answer.context["coverage"].selection.sex == "F"
    assert f'href="{COVERAGE}?sex=F&amp;season=2026"' in desk.get(TODAY).content.decode()
    assert view.history.get().history_user == biologist


@pytest.mark.parametrize(
    "path",
    [
        *("", "/", "coverage/", "//other.example/lakes/lake-orrinbeck/coverage/"),
        *("https://other.example/", "javascript:alert(1)", "/sign-out/", TODAY),
        *(f"{TODAY}people/", f"{TODAY}findings/no-such-topic/", "/lakes/tamsin-reservoir/fish/"),
    ],
)
def test_only_pages_of_ours_at_this_lake_can_be_kept(desk, other_lake, path):
    assert desk.get(SAVE, {"path": path}).status_code == (422 if path else 302)
    assert desk.post(SAVE, typed(path=path)).status_code == 422
    assert not SavedView.objects.exists()


def test_a_page_keeps_what_was_typed_and_says_why_not(desk):
    answer = desk.post(SAVE, typed(name="  ", is_shared="on"))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert error_codes(answer) == {"name": ["required"]}
    assert 'value="sex=F&amp;season=2026"' in page
    assert 'name="is_shared" id="id_is_shared" checked' in page


def test_the_same_name_is_refused_and_a_double_tap_is_not(desk, biologist):
    desk.post(SAVE, typed())

    again = desk.post(SAVE, typed())
    other = desk.post(SAVE, typed(name="FEMALES of 2026", query="sex=M"))

    assert (again.status_code, other.status_code) == (302, 422)
    assert error_codes(other) == {"name": ["name_taken"]}
    assert [view.query for view in SavedView.objects.all()] == ["sex=F&season=2026"]


def test_nobody_keeps_more_than_a_list_can_hold(desk, biologist, lake, second):
    for number in range(MOST_VIEWS):
        for person in (biologist, second):
            SavedView.objects.create(lake=lake, person=person, name=f"V{number}", path=COVERAGE)

    own = desk.post(SAVE, typed())
    shared = desk.post(SAVE, typed(is_shared="on"))

    assert error_codes(own) == {"__all__": ["too_many"]}
    assert shared.status_code == 302
    assert SavedView.objects.get(person=None).name == "Females of 2026"


def test_a_view_is_ones_own_unless_it_is_shared(client, desk, second):
    desk.post(SAVE, typed())
    desk.post(SAVE, typed(name="All arms", query="", is_shared="on"))

    client.force_login(second)

    assert list(listed(client)) == ["All arms"]
    page = client.get(VIEWS).content.decode()
    assert ("All arms" in page, "Females of 2026" in page) == (True, False)
    # Her own may be called the same: she is told nothing of his.
    assert client.post(SAVE, typed()).status_code == 302
    own, his = SavedView.objects.get(person=second), SavedView.objects.exclude(person=second)
    statuses = {(view.name, client.post(f"{VIEWS}{view.pk}/remove/").status_code) for view in his}
    assert statuses == {("Females of 2026", 404), ("All arms", 302)}
    assert client.get(f"{VIEWS}{own.pk}/").status_code == 200


def test_a_view_never_shows_more_than_the_role_does(client, desk, lake, monkeypatch, reader):
    """A role that sees coverage and no fish: no role is like that now, and one may come."""
    desk.post(SAVE, typed(name="Counts", is_shared="on"))
    desk.post(SAVE, typed(name="Fish by fish", path=f"{TODAY}fish/", is_shared="on"))
    client.force_login(reader)
    assert listed(client) == {}
    assert client.get(VIEWS).status_code == 403

    granted = {**permissions.GRANTS, "reader": frozenset({Permission.SEE_COVERAGE})}
    monkeypatch.setattr(permissions, "GRANTS", granted)

    assert list(listed(client)) == ["Counts"]
    assert client.get(SAVE, {"path": f"{TODAY}fish/"}).status_code == 422
    assert "is_shared" not in client.get(SAVE, {"path": COVERAGE}).context["form"].fields
    # What is sent all the same is kept for that person alone.
    client.post(SAVE, typed(name="Mine", is_shared="on"))
    assert SavedView.objects.get(name="Mine").person == reader
    shared = SavedView.objects.get(name="Counts")
    assert client.post(f"{VIEWS}{shared.pk}/remove/").status_code == 404
    assert client.get(f"{VIEWS}{shared.pk}/").status_code == 404


def test_a_view_is_renamed_and_removed(desk, lake, biologist):
    desk.post(SAVE, typed())
    desk.post(SAVE, typed(name="Males", query="sex=M"))
    view = SavedView.objects.get(name="Males")
    address = f"{VIEWS}{view.pk}/"

    taken = desk.post(address, {"name": "females of 2026"})
    renamed = desk.post(address, {"name": "males"})

    assert error_codes(taken) == {"name": ["name_taken"]}
    assert renamed.status_code == 302
    assert list(listed(desk)) == ["Females of 2026", "males"]
    desk.post(f"{address}remove/")
    assert list(listed(desk)) == ["Females of 2026"]
    assert [row.history_type for row in SavedView.history.filter(id=view.pk)] == ["-", "~", "+"]


def test_a_view_of_ones_own_becomes_the_lakes_and_back(client, desk, biologist, second):
    desk.post(SAVE, typed())
    view = SavedView.objects.get()
    address = f"{VIEWS}{view.pk}/"

    shared = desk.post(address, {"name": view.name, "is_shared": "on"})
    seen_by_all = SavedView.objects.get().person
    client.force_login(second)
    names_for_second = list(listed(client))
    client.post(address, {"name": view.name})

    assert shared.status_code == 302
    assert seen_by_all is None
    assert names_for_second == ["Females of 2026"]
    # Whoever takes it back has it: they had the right to remove it for all.
    assert SavedView.objects.get().person == second
    client.force_login(biologist)
    assert listed(client) == {}


def test_a_view_is_not_shared_where_the_lake_has_no_room_or_the_name(desk, lake):
    desk.post(SAVE, typed())
    address = f"{VIEWS}{SavedView.objects.get().pk}/"
    SavedView.objects.bulk_create(
        SavedView(lake=lake, name=f"View {at}", path=COVERAGE) for at in range(MOST_VIEWS)
    )

    full = desk.post(address, {"name": "Females of 2026", "is_shared": "on"})
    taken = desk.post(address, {"name": "view 3", "is_shared": "on"})

    assert [error for errors in error_codes(full).values() for error in errors] == ["too_many"]
    assert error_codes(taken) == {"name": ["name_taken"]}
    assert not SavedView.objects.get(name="Females of 2026").is_shared


def test_who_may_not_share_changes_only_the_name(client, lake, reader, monkeypatch):
    granted = {**permissions.GRANTS, "reader": frozenset({Permission.SEE_COVERAGE})}
    monkeypatch.setattr(permissions, "GRANTS", granted)
    client.force_login(reader)
    client.post(SAVE, typed())
    address = f"{VIEWS}{SavedView.objects.get().pk}/"

    asked = client.get(address)
    client.post(address, {"name": "Mine", "is_shared": "on"})

    assert "is_shared" not in asked.context["form"].fields
    assert [(one.name, one.person) for one in SavedView.objects.all()] == [("Mine", reader)]


def test_a_view_that_was_removed_meanwhile_is_not_renamed(desk, biologist):
    desk.post(SAVE, typed())
    view = SavedView.objects.get()
    SavedView.objects.get().delete()

    with pytest.raises(ViewRefused) as refused:
        change_view(view, biologist, name="Males", is_shared=False)

    assert refused.value.code == "view_gone"
    assert not SavedView.objects.exists()


def test_a_view_that_somebody_made_their_own_meanwhile_is_not_renamed(desk, biologist, second):
    desk.post(SAVE, typed(is_shared="on"))
    view = SavedView.objects.get()
    SavedView.objects.update(person=second)

    with pytest.raises(ViewRefused) as refused:
        change_view(view, biologist, name="Males", is_shared=False)

    assert refused.value.code == "view_gone"
    assert SavedView.objects.get().name == typed()["name"]


def test_a_name_that_is_taken_at_the_same_moment_is_refused(desk, monkeypatch, biologist):
    desk.post(SAVE, typed())
    desk.post(SAVE, typed(name="Males", query="sex=M"))
    address = f"{VIEWS}{SavedView.objects.get(name='Males').pk}/"
    # As it looks to one who asked before the other view was there.
    monkeypatch.setattr("samples.today.services._called", lambda name, views: None)

    taken = desk.post(address, {"name": "Females of 2026"})

    assert error_codes(taken) == {"name": ["name_taken"]}
    assert SavedView.objects.filter(name="Males").exists()


def test_a_view_of_what_is_gone_says_so_and_still_opens(desk, lake, season, brindle):
    arm = Arm.objects.create(lake=lake, name="Tarrow", position=9)
    growth = f"{TODAY}findings/growth/"
    desk.post(SAVE, typed(name="Sound", path=growth, query="arm=Brindle&season=2026"))
    desk.post(SAVE, typed(name="Last year", query="season=2025"))
    desk.post(SAVE, typed(name="Known reaches", query="reach=not+noted&reach=Upper"))
    desk.post(SAVE, typed(name="A reach", query="reach=Dam"))
    desk.post(SAVE, typed(name="Arm by name", path=growth, query="arm=Tarrow&season=2026"))
    desk.post(SAVE, typed(name="Arm by number", path=f"{TODAY}fish/", query=f"arm={arm.pk}"))
    SavedView.objects.create(lake=lake, name="No page", path=f"{TODAY}findings/gone/")
    assert {name for name, one in listed(desk).items() if one.problem} == {
        *("Last year", "No page", "A reach"),
    }

    arm.delete()

    views = listed(desk)
    assert {name for name, one in views.items() if not one.problem} == {"Sound", "Known reaches"}
    assert {name for name, one in views.items() if one.is_dead} == {"No page"}
    assert "2025" in views["Last year"].problem
    opened = desk.get(views["Last year"].view.address)
    assert error_codes(opened) == {"season": ["invalid_choice"]}
    assert f'href="{TODAY}findings/gone/"' not in desk.get(TODAY).content.decode()


def test_today_asks_no_more_for_many_views_than_for_one(desk, lake, biologist):
    def statements():
        with CaptureQueriesContext(connection) as asked:
            desk.get(TODAY)
        return len(asked)

    desk.post(SAVE, typed())
    statements()  # The message about the one that was saved is read and gone.
    one = statements()
    for number in range(MOST_VIEWS - 1):
        SavedView.objects.create(lake=lake, person=biologist, name=f"V{number}", path=COVERAGE)

    assert statements() == one


@pytest.mark.parametrize("shared", [True, False])
def test_the_database_keeps_a_name_once(lake, biologist, shared):
    facts = {"lake": lake, "person": None if shared else biologist, "path": COVERAGE}
    SavedView.objects.create(name="Females", **facts)

    with pytest.raises(IntegrityError), transaction.atomic():
        SavedView.objects.create(name="FEMALES", **facts)


def test_what_an_address_leaves_open_is_not_kept():
    assert tidy_query("sex=&season=2026&page=3&arm=A&arm=B&arm=") == "season=2026&arm=A&arm=B"
    assert tidy_query("reach=not+noted&x=%26") == "reach=not+noted&x=%26"


def test_every_topic_of_the_findings_can_be_kept():
    labels = [
        page.label
        for topic in OFFERED
        if (page := viewed_page(f"{TODAY}findings/{topic}/", "lake-orrinbeck"))
    ]
    assert labels == [topic.title for topic in OFFERED.values()]
