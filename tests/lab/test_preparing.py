"""Otoliths prepared step by step, sections asked for and made, and readings of preparations."""

from datetime import timedelta

import pytest
from django.urls import reverse

from samples.lab import queries, services
from samples.lab.queries.preparing import next_place, preparations_of, under_way, vials_to_section
from samples.lab.services import CannotPrepare, CannotRead
from samples.models import Preparation, Reading, SectionRequest, Vial
from tests.lab.making import TODAY, put_in_lab, read
from tests.people import NOW
from tests.shown import error_codes, message_tags

LATER = NOW + timedelta(hours=2)
LYING_IN = {"slide": "S-12", "slide_box": "S-1", "box_place": 12}


@pytest.fixture
def as_office(client, office):
    client.force_login(office, backend="django.contrib.auth.backends.ModelBackend")
    return client


def prepare(vial, actor, kind="section", **facts):
    return services.add_preparation(vial=vial, kind=kind, facts=facts, actor=actor, now=NOW)


def step(preparation, kind, actor, *, done_on=TODAY, now=NOW):
    return services.add_step(
        preparation=preparation, kind=kind, done_on=done_on, actor=actor, now=now, today=TODAY
    )


class TestPreparations:
    def test_a_section_is_ready_once_it_is_ground(self, vial, fish, office, reader, lake):
        section = prepare(vial, office, side="left", **LYING_IN)
        for kind in ("embedded", "cut", "mounted"):
            step(section, kind, reader)
        [row] = preparations_of(vial)
        assert ([one.kind for one in row.steps], row.is_ready) == (
            ["embedded", "cut", "mounted"],
            False,
        )
        assert [one.done_by for one in row.steps] == [reader] * 3
        assert [one.preparation for one in under_way(office, lake)] == [section]

        step(section, "ground", office)

        [row] = preparations_of(vial)
        assert (row.is_ready, row.steps_to_come) == (True, [])
        assert under_way(office, lake) == []
        assert section.history.get().history_user == office

    def test_several_of_one_vial_are_numbered(self, vial, fish, office):
        kinds = ["whole", "section", "crack_burn"]
        made = [prepare(vial, office, kind) for kind in kinds]
        assert [(one.number, one.kind) for one in made] == list(enumerate(kinds, start=1))
        assert [row.is_ready for row in preparations_of(vial)] == [True, False, False]

    @pytest.mark.parametrize(
        ("facts", "code"),
        [
            ({"slide": "s-12"}, "slide_taken"),
            ({"slide_box": "s-1", "box_place": 12}, "place_taken"),
            ({"slide_box": "S-1", "box_place": None}, "half_a_place"),
            ({"slide_box": "", "box_place": 3}, "half_a_place"),
        ],
    )
    def test_a_slide_and_its_place_are_taken_once(self, vial, fish, office, facts, code):
        prepare(vial, office, **LYING_IN)
        with pytest.raises(CannotPrepare) as refused:
            prepare(vial, office, **facts)
        assert refused.value.code == code
        assert Preparation.objects.count() == 1

    @pytest.mark.parametrize(
        ("facts", "code"),
        [
            ({"state": "void"}, "out_of_use"),
            ({"received_at": None, "received_by": None}, "not_received"),
            ({"content": "none"}, "no_otolith"),
        ],
    )
    def test_what_holds_no_otolith_is_not_prepared(self, vial, fish, office, facts, code):
        Vial.objects.filter(pk=vial.pk).update(**facts)
        with pytest.raises(CannotPrepare) as refused:
            prepare(vial, office)
        assert refused.value.code == code

    def test_a_step_is_one_of_its_kind_and_of_no_day_to_come(self, vial, fish, office):
        section = prepare(vial, office)
        for kind, day, code in (
            ("burnt", TODAY, "other_step"),
            ("cut", TODAY + timedelta(days=1), "future_day"),
        ):
            with pytest.raises(CannotPrepare) as refused:
                step(section, kind, office, done_on=day)
            assert refused.value.code == code
        assert step(section, "cut", office) == step(section, "cut", office)
        step(section, "mounted", office, now=LATER)
        assert services.remove_step(preparation=section, actor=office, now=LATER) == "Mounted"
        assert [one.kind for one in section.steps.all()] == ["cut"]


class TestSectionsAskedFor:
    def test_a_reading_puts_its_vial_on_the_list_and_a_section_takes_it_off(
        self, vial, vials, party, white, fish, reader, biologist, office, lake
    ):
        put_in_lab(vials[1], party, white)
        read(vials[1], reader, 7, 1, needs_section=True, note="Crowded edge")
        read(vial, reader, 9, 1, now=LATER, needs_section=True)
        read(vial, biologist, 8, 1, now=LATER, needs_section=True, note="Check at 3")

        first, second = vials_to_section(office, lake)
        assert (first.vial, [(one.asked_by, one.why) for one in first.requests]) == (
            vials[1],
            [(reader, "Crowded edge")],
        )
        assert [one.asked_by for one in second.requests] == [reader, biologist]

        section = prepare(vial, office)

        assert [row.vial for row in vials_to_section(office, lake)] == [vials[1]]
        assert section.requests.count() == 2
        services.spoil(preparation=section, why="Ground through", actor=office, now=LATER)
        assert len(vials_to_section(office, lake)) == 2
        services.restore(preparation=section, actor=office, now=LATER)
        assert [row.vial for row in vials_to_section(office, lake)] == [vials[1]]

    def test_a_whole_preparation_crosses_nobody_off(self, vial, fish, reader, office, lake):
        read(vial, reader, 9, 1, needs_section=True)
        prepare(vial, office, "whole")
        assert len(vials_to_section(office, lake)) == 1

    def test_who_asks_no_more_is_off_the_list_and_may_ask_again(
        self, vial, fish, reader, office, lake
    ):
        read(vial, reader, 9, 1, needs_section=True)
        # A row of the grid that does not send it leaves it as it was.
        read(vial, reader, 9, 1)
        assert len(vials_to_section(office, lake)) == 1
        read(vial, reader, 9, 1, needs_section=False)
        assert vials_to_section(office, lake) == []
        read(vial, reader, 9, 1, needs_section=True)
        assert len(vials_to_section(office, lake)) == 1
        services.withdraw_reading(reading=Reading.objects.get(), actor=reader, now=LATER)
        assert vials_to_section(office, lake) == []
        kept = SectionRequest.objects.get()
        assert (kept.asked_by, kept.dropped_by, kept.reading) == (reader, reader, None)

    def test_one_asked_for_on_deciding_comes_back_where_it_is_not_to_be_had(
        self, vial, fish, reader, biologist, office, lake
    ):
        read(vial, reader, 4, 1)
        read(vial, biologist, 5, 1)
        services.decide(fish=fish, outcome="section", note="Edge", actor=biologist, now=NOW)
        assert [one.why for one in vials_to_section(office, lake)[0].requests] == ["Edge"]
        assert list(queries.ages_to_settle(biologist, lake)) == []

        assert services.drop_requests(vial=vial, actor=office, now=LATER) == 1

        assert [age.fish for age in queries.ages_to_settle(biologist, lake)] == [fish]


class TestReadings:
    def test_two_preparations_read_on_one_day_are_two_readings(self, vial, fish, reader, office):
        left, right = (prepare(vial, office, side=side) for side in ("left", "right"))
        read(vial, reader, 4, 1, method="section", preparation=left)
        read(vial, reader, 5, 1, method="section", preparation=right, now=LATER)
        read(vial, reader, 6, 1, method="section", preparation=right, now=LATER)

        kept = Reading.objects.order_by("pk").values_list("preparation", "annuli")
        assert list(kept) == [(left.pk, 4), (right.pk, 6)]

    def test_a_reading_is_of_a_sound_preparation_of_its_vial_and_method(
        self, vial, vials, party, white, fish, reader, office
    ):
        put_in_lab(vials[1], party, white)
        section, other = prepare(vial, office), prepare(vials[1], office)
        spoiled = prepare(vial, office)
        services.spoil(preparation=spoiled, why="Lost", actor=office, now=NOW)
        for preparation, method, code in (
            (section, "whole", "method_differs"),
            (other, "section", "other_preparation"),
            (spoiled, "section", "spoiled"),
        ):
            with pytest.raises(CannotRead) as refused:
                read(vial, reader, 4, 1, method=method, preparation=preparation)
            assert refused.value.code == code
        assert not Reading.objects.exists()


class TestPages:
    def test_from_the_list_to_a_section_that_can_be_read(
        self, as_office, lake, vial, fish, reader, office
    ):
        read(vial, reader, 9, 1, needs_section=True)
        listed = reverse("lab:preparations", args=[lake.slug])
        door = reverse("lab:prepare", args=[lake.slug, vial.number])
        assert as_office.get(listed, {"vial": "26 0001 8"}).url == door
        assert as_office.get(door).context["form"].initial["kind"] == "section"

        typed = {"kind": "section", "side": "left", "condition": "intact", "slide_box": "S-1"}
        half = as_office.post(door, typed)
        assert (half.status_code, error_codes(half)) == (422, {"box_place": ["half_a_place"]})
        assert as_office.post(door, typed | {"box_place": "7"}).url == door
        made = Preparation.objects.get()
        assert (made.made_by, made.box_place, made.side) == (office, 7, "left")
        assert next_place(lake) == ("S-1", 8)

        steps = reverse("lab:add_step", args=[lake.slug, made.pk])
        answer = as_office.post(steps, {"kind": "cut", "done_on": "2026-05-01", "from": "list"})
        assert answer.url == listed
        assert made.steps.get().done_by == office
        late = as_office.post(steps, {"kind": "ground", "done_on": "2999-01-01"}, follow=True)
        assert message_tags(late)[-1] == "future_day error"

        edit = reverse("lab:preparation", args=[lake.slug, made.pk])
        as_office.post(edit, {"condition": "pieced", "slide": "S-0412"})
        made.refresh_from_db()
        assert (made.condition, made.slide, made.box_place) == ("pieced", "S-0412", None)
        assert error_codes(as_office.post(f"{edit}spoil/", {"why": ""})) == {"why": ["required"]}
        as_office.post(f"{edit}spoil/", {"why": "Ground through"})
        made.refresh_from_db()
        assert (made.spoiled_by, made.spoiled_why) == (office, "Ground through")

    def test_the_list_tells_no_length_and_no_count(self, as_office, lake, vial, fish, reader):
        fish.length_hundredths_mm = 11 * 2540 + 254 * 7
        fish.save()
        read(vial, reader, 23, 1, needs_section=True, confirmed=["age_above_highest"])
        for name, more in (("preparations", []), ("prepare", [vial.number])):
            page = as_office.get(reverse(f"lab:{name}", args=[lake.slug, *more])).content.decode()
            assert "26 0001" in page
            assert "11.7" not in page
            assert "23 annuli" not in page

    @pytest.mark.parametrize("count", [1, 20])
    def test_the_list_asks_the_same_few_questions_however_long(
        self, lake, vials, party, white, reader, office, django_assert_max_num_queries, count
    ):
        for vial in vials[:count]:
            put_in_lab(vial, party, white)
            read(vial, reader, 4, 1, needs_section=True)
            step(prepare(vial, office, "crack_burn"), "cracked", office)
        with django_assert_max_num_queries(6):
            assert len(vials_to_section(office, lake)) == count
            assert len(under_way(office, lake)) == count

    def test_the_grid_keeps_which_preparation_was_read(self, client, lake, vial, fish, reader):
        client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
        section = prepare(vial, reader)
        typed = {"vial": vial.number, "annuli": "4", "margin": "1", "method": "section"}
        door = reverse("lab:grid", args=[lake.slug])

        more = {"preparation": str(section.pk), "needs_section": "yes"}
        assert client.post(door, typed | more).status_code == 302
        reading = Reading.objects.get()
        assert (reading.preparation, reading.needs_section) == (section, True)
        wrong = client.post(door, typed | {"preparation": "99"})
        assert wrong.status_code == 422
        assert Reading.objects.count() == 1
