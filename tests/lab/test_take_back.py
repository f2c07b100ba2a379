"""Readings typed for the wrong vial, taken back."""

import pytest
from django.urls import reverse

from samples.lab import services
from samples.lab.queries import history_of
from samples.lab.services import CannotWithdrawReading
from samples.models import Age, Progress, Reading, Vial
from tests.chromium import DESK, PHONE
from tests.lab.making import put_in_lab, read
from tests.people import NOW
from tests.shown import message_tags


def take_back(reading, by, note=""):
    return services.withdraw_reading(reading=reading, actor=by, now=NOW, note=note)


def door(lake, reading, query=""):
    return reverse("lab:take_back", args=[lake.slug, reading.pk]) + query


def test_the_only_reading_leaves_the_vial_as_it_was_and_the_history_tells(vial, fish, reader):
    reading = read(vial, reader, 4, 1).reading

    take_back(reading, reader, "Wrong vial")

    vial.refresh_from_db()
    fish.refresh_from_db()
    assert not Reading.objects.exists()
    assert not Age.objects.exists()
    assert (vial.state, fish.progress) == (Vial.State.RECEIVED, Progress.RECEIVED)
    kept = Reading.history.get(history_type="-")
    assert (kept.annuli, kept.history_user, kept.history_date) == (4, reader, NOW)
    told = [one.who for one in history_of(fish) if one.what.endswith("whole: Wrong vial")]
    assert told == ["T. Vesk"]


class TestConsensus:
    @pytest.fixture
    def agreed(self, vial, fish, reader, biologist):
        read(vial, biologist, 4, 1)
        return read(vial, reader, 4, 1).reading

    def test_a_consensus_age_is_lost_only_after_yes(self, client, lake, fish, agreed, reader):
        client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")

        asked = client.post(door(lake, agreed, "?show=all"), {"note": "Wrong vial"})

        assert asked.status_code == 422
        assert asked.context["asked"].code == "consensus_lost"
        assert Age.objects.get(fish=fish).standing == "agreed"
        said = {"note": "Wrong vial", "confirmed": "consensus_lost"}
        done = client.post(door(lake, agreed, "?show=all"), said)
        assert done.url.endswith(f"?show=all#row-{fish.vial.number}")
        assert Age.objects.get(fish=fish).standing == "one_reader"
        kept = Reading.history.get(history_type="-")
        assert kept.history_change_reason == "Wrong vial"

    def test_a_consensus_of_others_is_asked_about_by_nobody(self, vial, fish, agreed, office):
        third = read(vial, office, 4, 1).reading
        take_back(third, office)
        assert Age.objects.get(fish=fish).standing == "agreed"

    def test_a_decision_stands_when_a_reading_goes(self, fish, agreed, biologist):
        services.decide_age(fish=fish, age_years=5, note="Sectioned", actor=biologist, now=NOW)
        take_back(agreed, biologist)
        assert Age.objects.get(fish=fish).age_years == 5


def test_a_vial_that_never_came_in_is_not_received_by_a_slip(vials, party, white, reader):
    put_in_lab(vials[1], party, white, state="used", received_at=None, received_by=None)
    take_back(read(vials[1], reader, 4, 1).reading, reader)
    vials[1].refresh_from_db()
    assert (vials[1].state, vials[1].received_at) == (Vial.State.USED, None)


def test_the_readings_of_others_speak_on(vial, fish, reader, biologist):
    read(vial, biologist, 4, 1)
    reading = read(vial, reader, 9, 1).reading
    assert Age.objects.get(fish=fish).standing == "to_settle"
    take_back(reading, biologist)
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years) == ("one_reader", 4)
    vial.refresh_from_db()
    assert vial.state == Vial.State.READ
    [what] = [line.what for line in history_of(fish) if "T. Vesk" in line.what]
    assert [line.who for line in history_of(fish) if line.what == what] == ["N. Aubrey"]


def test_nobody_takes_back_what_is_not_theirs_or_what_a_decision_rests_on(
    vial, fish, reader, office, biologist
):
    reading = read(vial, reader, 4, 1).reading
    with pytest.raises(CannotWithdrawReading) as not_theirs:
        take_back(reading, office)
    services.decide_age(fish=fish, age_years=5, note="Sectioned", actor=biologist, now=NOW)
    with pytest.raises(CannotWithdrawReading) as decided:
        take_back(reading, reader)
    assert (not_theirs.value.code, decided.value.code) == ("not_yours", "decided")
    assert Reading.objects.count() == 1


def test_a_reading_is_taken_back_once(vial, fish, reader):
    reading = read(vial, reader, 4, 1).reading
    take_back(Reading.objects.get(), reader)
    with pytest.raises(CannotWithdrawReading) as refused:
        take_back(reading, reader)
    assert refused.value.code == "gone"


class TestPages:
    def test_a_reader_takes_back_from_the_grid(self, client, vial, fish, lake, reader, vials):
        client.force_login(reader)
        grid = reverse("lab:grid", args=[lake.slug])
        said = {"vial": vial.number, "annuli": "4", "margin": "1", "method": "whole"}
        client.post(f"{grid}?show=unread", {**said, "readability": "1", "length": "hidden"})
        address = door(lake, Reading.objects.get(), "?show=unread")
        assert f'action="{address}"' in client.get(f"{grid}?show=unread").content.decode()

        answer = client.post(address)

        assert answer["Location"] == f"{grid}?show=unread#row-{vial.number}"
        assert not Reading.objects.exists()
        page = client.get(f"{grid}?show=unread")
        assert message_tags(page) == ["success"]
        assert "/take-back/" not in page.content.decode()

    def test_the_biologist_takes_back_on_the_page_of_the_fish(
        self, client, vial, fish, lake, reader, biologist
    ):
        reading = read(vial, reader, 4, 1).reading
        client.force_login(biologist)
        page = reverse("lab:vial", args=[lake.slug, vial.number])
        assert f'action="{door(lake, reading)}"' in client.get(page).content.decode()

        answer = client.post(door(lake, reading), {"from": "vial"}, follow=True)

        assert answer.redirect_chain == [(page, 302)]
        assert message_tags(answer) == ["success"]
        assert not Reading.objects.exists()

    def test_a_reader_is_not_told_of_anothers_reading(
        self, client, vial, fish, lake, reader, biologist
    ):
        reading = read(vial, biologist, 4, 1).reading
        client.force_login(reader)
        assert client.post(door(lake, reading)).status_code == 404
        assert Reading.objects.count() == 1


# Fields that only scrolling sideways brings into view.
OUT_OF_REACH = """() => [...document.querySelectorAll('[data-row] [data-col]')]
  .filter(field => field.getBoundingClientRect().right > innerWidth).map(field => field.name)"""


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("size", [pytest.param(PHONE, id="phone"), pytest.param(DESK, id="desk")])
def test_a_row_just_saved_by_the_script_can_be_taken_back(
    open_page, vial, fish, lake, reader, size
):
    desk = open_page(size, user=reader)
    desk.goto(reverse("lab:grid", args=[lake.slug]) + "?show=unread")
    row = desk.locator(f"#row-{vial.number}")
    button = row.get_by_role("button", name="Delete")
    assert not button.is_visible()
    assert desk.evaluate(OUT_OF_REACH) == []
    row.locator("[data-col=annuli]").fill("4")
    row.locator("[data-col=margin]").fill("1")
    desk.locator("#id_show").focus()
    button.wait_for()

    button.click()

    desk.get_by_text("reading deleted").wait_for()
    assert desk.url.endswith(f"?show=unread#row-{vial.number}")
    # The keyboard goes on in the row that it left.
    assert row.evaluate("row => row.contains(document.activeElement)")
    assert not Reading.objects.exists()
