"""The checklist of a new lake: each step says what is there and leads to its page."""

from datetime import timedelta

import pytest
from django.utils import timezone

from samples.models import Fish, Membership
from samples.waters import services
from tests.people import make_person, make_vials
from tests.targets.fish import make_fish
from tests.targets.pages import want
from tests.today.test_views import lake_day

ADDRESS = "/lakes/quill-lake/"
ALL = ["Species", "Arms and reaches", "Season and permit", "People", "Targets", "Vial labels"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def quill(crappies):
    """A lake that was just added; its season is of this year."""
    return services.add_lake(
        name="Quill Lake", length_unit="in", time_zone="America/Chicago", now=timezone.now()
    ).lake


@pytest.fixture
def boss(quill):
    return make_person(quill, "biologist", "N. Quill")


def steps_of(client):
    answer = client.get(ADDRESS)
    checklist = answer.context["checklist"]
    page = answer.content.decode()
    # Every step is on the page, with its button.
    assert all(f'href="{step.address}"' in page for step in checklist.steps)
    return {step.label: step for step in checklist.steps}, checklist.next_step


def test_each_step_leads_to_a_page_that_opens(client, boss):
    client.force_login(boss)

    steps, following = steps_of(client)

    assert list(steps) == [*ALL, "First fish"]
    assert [label for label, step in steps.items() if step.is_done] == ALL[2:3]
    assert following == steps["Species"]
    statuses = {client.get(step.address, follow=True).status_code for step in steps.values()}
    assert statuses == {200}


def test_what_is_done_is_counted_and_the_next_step_moves_on(client, quill, boss, white):
    client.force_login(boss)
    services.add_listed_species(quill, ["white-crappie"])
    _, following = steps_of(client)
    # A lake with a single arm has no arms to name.
    assert following.label == "People"

    make_person(quill, "office", "J. Quill")
    services.add_arm(quill, name="North")
    want(quill.seasons.get(), white, 10, 20)
    make_vials(quill.seasons.get(), first=1, count=12, by=boss)
    steps, following = steps_of(client)

    assert [label for label, step in steps.items() if step.is_done] == ALL
    assert following.label == "First fish"
    counts = [steps[label].detail.split()[0] for label in ("Targets", "Vial labels")]
    assert counts == ["20", "12"]


def test_a_lake_is_set_up_ahead_of_its_first_season(client, quill, boss):
    season = quill.seasons.get()
    day = lake_day() + timedelta(days=30)
    season.starts_on, season.ends_on = day, day + timedelta(days=90)
    season.save()
    client.force_login(boss)

    steps, _ = steps_of(client)

    assert steps[ALL[2]].address.endswith(f"/seasons/{season.pk}/")
    season.delete()
    steps, following = steps_of(client)
    assert (following.label, steps[ALL[2]].is_done) == ("Species", False)


def test_one_person_with_two_roles_is_still_alone(client, quill, boss):
    Membership.objects.create(person=boss, lake=quill, role="reader")
    client.force_login(boss)

    steps, _ = steps_of(client)

    assert not steps["People"].is_done


def test_the_first_fish_closes_the_list_for_good(client, lake, biologist, party, white):
    client.force_login(biologist)
    assert client.get("/lakes/lake-orrinbeck/").context["checklist"] is not None

    make_fish(party, white, 10.2)
    assert client.get("/lakes/lake-orrinbeck/").context["checklist"] is None

    Fish.objects.update(withdrawn=True)
    assert client.get("/lakes/lake-orrinbeck/").context["checklist"] is None


@pytest.mark.parametrize("role", ["office", "reader"])
def test_nobody_else_is_shown_it(client, request, lake, role):
    client.force_login(request.getfixturevalue(role))

    assert client.get("/lakes/lake-orrinbeck/").context["checklist"] is None
