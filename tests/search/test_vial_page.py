"""The page of one vial: one line of time, and of the rest what each role may know."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from samples.accounts.permissions import GRANTS
from samples.custody.services import put_in_tray, undo_scan
from samples.lab import services as lab
from samples.models import Fish, Progress, TrayPlace, Vial
from samples.rules import vial_number
from samples.search.presenters.vial_page import vial_page, vials_beside
from samples.vials import services
from tests.custody.rows import make_box, make_tray, receive
from tests.factories import make_fish, make_held_fish
from tests.lab.making import read
from tests.people import CAUGHT_ON, NOW
from tests.vials.numbers import number

DAY = timedelta(days=1)


@pytest.fixture
def look(client, lake):
    """Open the page of a vial as somebody; give what it shows."""

    def look_as(person, vial):
        client.force_login(person)
        answer = client.get(reverse("search:vial", args=[lake.slug, vial.number]))
        assert answer.status_code == 200
        return answer

    return look_as


@pytest.fixture
def logged(party, white, guide, vials):
    """A fish under the first vial, as the ramp logs it."""
    Vial.history.update(history_date=NOW - DAY)
    vials[0].state = Vial.State.USED
    vials[0].save()
    vials[0].history.filter(state="used").update(history_date=NOW)
    fish = make_fish(
        party, white, inches=9.5, vial=vials[0], progress=Progress.LOGGED, logged_by=guide
    )
    fish.history.update(history_date=NOW)
    return fish


@pytest.fixture
def read_and_archived(logged, lake, office, reader, biologist):
    """The vial received, archived before anybody read it, then read twice and decided."""
    services.receive(lake=lake, number=number(1), content="two", actor=office, now=NOW + DAY)
    vial = Vial.objects.get(number=number(1))
    vial.state, vial.archive_box, vial.archive_slot = "archived", "26-01", "9"
    vial.save()
    vial.history.filter(state="archived").update(history_date=NOW + 2 * DAY, history_user=office)
    read(vial, reader, 4, 1, now=NOW + 3 * DAY)
    read(vial, biologist, 5, 1, now=NOW + 4 * DAY)
    lab.decide_age(fish=logged, age_years=4, note="Sectioned", actor=biologist, now=NOW + 5 * DAY)
    return Vial.objects.get(pk=vial.pk)


def told(answer):
    return [(event.at - NOW, event.who, event.what) for event in answer.context["page"].events]


class TestBlindReading:
    @pytest.fixture
    def weighed(self, logged):
        logged.weight_g = 437
        logged.length_hundredths_mm += 2540
        logged.save()
        return logged

    def test_who_will_read_the_otolith_sees_no_length_till_they_ask(
        self, look, client, biologist, weighed
    ):
        hidden = look(biologist, weighed.vial)
        asked = client.get(hidden.request["PATH_INFO"], {"length": "shown"})

        figures = ["9.5", "10.5", "437"]
        assert [one for one in figures if one in strip_tags(hidden.content.decode())] == []
        assert [one for one in figures if one in strip_tags(asked.content.decode())] == figures
        assert 'href="?length=shown"' in hidden.content.decode()

    def test_a_reading_after_the_length_was_shown_is_not_blind(
        self, look, client, biologist, office, lake, weighed
    ):
        services.receive(lake=lake, number=number(1), actor=office, now=NOW + DAY)
        vial = Vial.objects.get(number=number(1))
        hidden = look(biologist, vial)
        assert read(vial, biologist, 4, 1, now=NOW + 2 * DAY).reading.length_was_hidden

        client.get(hidden.request["PATH_INFO"], {"length": "shown"})

        assert read(vial, biologist, 4, 1, now=NOW + 2 * DAY).reading.length_was_hidden
        assert not read(vial, biologist, 5, 1, now=NOW + 2 * DAY).reading.length_was_hidden
        assert not read(vial, biologist, 5, 1, now=NOW + 9 * DAY).reading.length_was_hidden

    def test_who_read_it_or_reads_none_sees_the_length(
        self, look, biologist, office, lake, weighed
    ):
        by_office = look(office, weighed.vial).content.decode()
        services.receive(lake=lake, number=number(1), actor=office, now=NOW + DAY)
        read(Vial.objects.get(number=number(1)), biologist, 4, 1, now=NOW + 2 * DAY)
        by_who_read = look(biologist, weighed.vial).content.decode()

        for page in (by_office, by_who_read):
            assert "10.5" in strip_tags(page)
            assert "?length=shown" not in page


class TestTimeLine:
    def test_names_the_trays(self, look, lake, office, vials):
        receive(vials[:1], office)
        trays = [make_tray(lake, office, name=name) for name in ("C-14", "C-15")]
        for tray, more in ((trays[0], {}), (trays[1], {"move": True})):
            put_in_tray(
                tray=tray, number=number(1), actor=office, now=NOW + DAY, today=CAUGHT_ON, **more
            )
            shown = [what for _, _, what in told(look(office, vials[0]))]
            assert any(tray.name in what for what in shown)

        assert any("C-14" in what and "C-15" in what for what in shown)

    def test_tells_all_in_one_line_of_time_the_latest_first(
        self, look, biologist, read_and_archived
    ):
        answer = look(biologist, read_and_archived)

        days = [after.days for after, _, _ in told(answer) if after >= timedelta()]
        assert days == [5, 4, 3, 2, 1, 0]
        assert [who for after, who, _ in told(answer) if after >= timedelta()] == [
            "N. Aubrey",
            "N. Aubrey",
            "T. Vesk",
            "J. Pell",
            "J. Pell",
            "R. Ostrow",
        ]

    def test_one_that_is_cleared_once_more_after_it_was_read_says_so(
        self, look, lake, office, reader, logged
    ):
        services.receive(lake=lake, number=number(1), content="one", actor=office, now=NOW + DAY)
        vial = Vial.objects.get(number=number(1))
        read(vial, reader, 4, 1, now=NOW + 2 * DAY)
        scanned = {"tray": make_tray(lake, office), "number": vial.number, "actor": office}
        put_in_tray(now=NOW + 3 * DAY, today=scanned["tray"].started_on, **scanned)
        undo_scan(now=NOW + 4 * DAY, **scanned)

        days = [after.days for after, _, _ in told(look(office, vial)) if after >= timedelta()]
        assert days == [4, 3, 2, 1, 0]

    def test_never_says_another_state_than_the_vial_has(self, look, biologist, read_and_archived):
        page = look(biologist, read_and_archived).context["page"]

        assert page.vial.state == "archived"
        assert page.to_come == []
        assert page.place == "box 26-01, slot 9"

    def test_a_reading_and_what_the_rule_made_of_it_are_one_line(
        self, look, biologist, logged, lake, office, reader
    ):
        services.receive(lake=lake, number=number(1), actor=office, now=NOW + DAY)
        read(Vial.objects.get(number=number(1)), reader, 4, 1, now=NOW + 2 * DAY)

        latest = told(look(biologist, logged.vial))[0]

        assert latest[:2] == (2 * DAY, "T. Vesk")
        assert "4 annuli" in latest[2]
        assert "2022" in latest[2]

    def test_a_correction_is_told_with_both_lengths(self, look, office, logged):
        logged.length_hundredths_mm += 2540
        logged.save()

        corrections = [what for _, _, what in told(look(office, logged.vial)) if "9.5" in what]

        assert any("10.5" in what for what in corrections)

    def test_a_fish_that_moved_on_leaves_its_mark(self, look, office, logged, vials):
        logged.vial = vials[1]
        logged.save()

        left, came = (told(look(office, vial)) for vial in (vials[0], vials[1]))

        assert any(vials[1].number[2:6] in what for _, _, what in left)
        assert any("9.5" in what for _, _, what in came)
        assert look(office, vials[0]).context["page"].fish is None

    def test_another_entry_for_the_vial_leads_to_where_it_is_resolved(
        self, look, lake, office, clerk, logged
    ):
        held = make_held_fish(lake, clerk, vial=logged.vial, received_at=NOW + DAY)

        [event] = [one for one in look(office, logged.vial).context["page"].events if one.address]

        assert event.address == reverse("ramp:held_entry", args=[lake.slug, held.pk])
        assert event.who == "D. Marrable"

    def test_rings_measured_later_are_no_correction(self, look, biologist, read_and_archived):
        before = told(look(biologist, read_and_archived))
        reading = read_and_archived.readings.first()
        reading.edge_um = 900
        reading.save()

        assert told(look(biologist, read_and_archived)) == before


class TestRights:
    def test_the_office_learns_that_it_was_read_and_not_what(self, look, office, read_and_archived):
        answer = look(office, read_and_archived)

        assert answer.context["page"].card is None
        words = " ".join(what for _, _, what in told(answer))
        assert "annuli" not in words
        assert "Sectioned" not in answer.content.decode()
        assert [who for after, who, _ in told(answer) if after.days in {3, 4}] == [
            "N. Aubrey",
            "T. Vesk",
        ]

    def test_a_donor_is_named_to_the_biologist_alone(self, look, office, biologist, logged):
        logged.donor.name = "Somebody Else"
        logged.donor.save()

        pages = [look(person, logged.vial).content.decode() for person in (office, biologist)]

        assert ["Somebody Else" in page for page in pages] == [False, True]

    def test_a_vial_of_another_lake_is_not_there(self, client, office, lake, other_lake, vials):
        Vial.objects.filter(pk=vials[0].pk).update(lake=other_lake)
        client.force_login(office)

        answer = client.get(reverse("search:vial", args=[lake.slug, vials[0].number]))

        assert answer.status_code == 404


class TestActions:
    @pytest.mark.parametrize(
        ("state", "view"), [("printed", "vials:issue"), ("used", "vials:receive")]
    )
    def test_the_next_move_is_offered_with_the_number_filled_in(
        self, look, office, lake, vials, client, state, view
    ):
        Vial.objects.filter(pk=vials[0].pk).update(state=state)

        [action] = [one for one in look(office, vials[0]).context["page"].actions if one.is_next]

        assert action.address.startswith(reverse(view, args=[lake.slug]))
        assert f'value="{vials[0].number}"' in client.get(action.address).content.decode()

    @pytest.mark.parametrize(
        ("state", "view"),
        [
            ("received", "custody:trays"),
            ("ready", "custody:archive"),
            ("archived", "custody:out"),
        ],
    )
    def test_the_office_goes_on_to_the_tray_and_the_box(
        self, look, office, lake, vials, state, view
    ):
        Vial.objects.filter(pk=vials[0].pk).update(state=state)

        offered = [one.address for one in look(office, vials[0]).context["page"].actions]

        assert reverse(view, args=[lake.slug]) in offered

    def test_a_vial_in_a_tray_leads_to_it_and_one_taken_out_to_its_slot(
        self, look, office, lake, vials
    ):
        tray, box = make_tray(lake, office), make_box(lake, office)
        TrayPlace.objects.create(
            tray=tray, vial=vials[0], place=1, scanned_by=office, scanned_at=NOW
        )
        Vial.objects.filter(pk=vials[0].pk).update(state="clearing")
        Vial.objects.filter(pk=vials[1].pk).update(
            state="read",
            box=box,
            archive_box=box.name,
            archive_slot="A1",
            taken_out_at=NOW,
            taken_out_by=office,
        )

        [in_tray, out] = [
            [one.address for one in look(office, vial).context["page"].actions]
            for vial in vials[:2]
        ]

        assert reverse("custody:tray", args=[lake.slug, tray.pk]) in in_tray
        assert reverse("custody:out", args=[lake.slug]) + "?back=1" in out

    def test_its_label_is_printed_again_with_the_number_filled_in(
        self, look, client, office, lake, vials
    ):
        [again] = [
            one.address
            for one in look(office, vials[0]).context["page"].actions
            if one.address.startswith(reverse("vials:reprint", args=[lake.slug]))
        ]

        assert vial_number.grouped(vials[0].number) in client.get(again).content.decode()

    def test_readers_who_differ_are_settled_next(
        self, look, biologist, logged, lake, office, reader
    ):
        services.receive(lake=lake, number=number(1), actor=office, now=NOW)
        for person, annuli in ((reader, 4), (biologist, 6)):
            read(Vial.objects.get(number=number(1)), person, annuli, 1)

        [action] = [
            one for one in look(biologist, logged.vial).context["page"].actions if one.is_next
        ]

        assert action.address == reverse("lab:vial", args=[lake.slug, number(1)])


class TestPlace:
    def test_the_vials_around_it_stand_in_order_of_slot(self, vials):
        for vial, slot in zip(vials, ["2", "10", "9", "11", "1"], strict=False):
            Vial.objects.filter(pk=vial.pk).update(archive_box="26-01", archive_slot=slot)

        beside = vials_beside(Vial.objects.get(archive_slot="9"))

        assert [one.archive_slot for one in beside] == ["1", "2", "9", "10", "11"]

    def test_a_vial_in_no_box_has_none(self, vials):
        assert vials_beside(vials[0]) == []


@pytest.mark.parametrize("many", [1, 20])
def test_a_long_history_costs_no_more_statements(
    django_assert_max_num_queries, biologist, read_and_archived, many
):
    granted = frozenset(GRANTS["biologist"])
    for inches in range(many):
        fish = Fish.objects.get(vial=read_and_archived)
        fish.length_hundredths_mm += 254 * (inches + 1)
        fish.save()
    # Two ask for vials whose otolith does not go with their fish, and one for those kept; two for
    # preparations, and for what was decided; one for pictures.
    with django_assert_max_num_queries(16 + 2 + 1 + 2 + 1):
        assert len(vial_page(read_and_archived, granted).events) > many
