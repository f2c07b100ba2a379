"""Who holds what, and vials that change hands."""

from datetime import timedelta

import pytest
from django.urls import reverse

from samples.accounts.links import make_link
from samples.custody import queries, services
from samples.models import ClearingTray, Vial
from samples.vials.services import bring_back, mark_lost
from tests.custody.rows import receive
from tests.factories import make_fish
from tests.people import CAUGHT_ON, NOW
from tests.shown import error_codes, message_tags
from tests.vials.numbers import number


class TestWhoHoldsWhat:
    def test_counts_used_unused_and_lost_of_each_person(
        self, lake, season, kit, guide, party, white
    ):
        Vial.objects.filter(pk=kit[1].pk).update(state="lost")
        make_fish(party, white, vial=kit[0], received_at=NOW)

        [holder] = queries.holders(lake, season, CAUGHT_ON)

        assert (holder.person_id, holder.name) == (guide.pk, "R. Ostrow")
        assert (holder.issued, holder.used, holder.unused, holder.lost) == (5, 1, 3, 1)
        assert (holder.since, holder.days) == (CAUGHT_ON - timedelta(days=9), 9)
        assert holder.seen_at == NOW

    def test_a_void_vial_is_not_counted_as_used(self, lake, season, kit):
        Vial.objects.filter(pk=kit[1].pk).update(state="void")

        [holder] = queries.holders(lake, season, CAUGHT_ON)

        assert (holder.issued, holder.used, holder.unused) == (4, 1, 3)

    def test_is_told_by_season(self, desk, lake, season, kit):
        address = reverse("custody:kits", args=[lake.slug])

        shown = desk.get(address, {"season": season.pk})
        wrong = desk.get(address, {"season": "999999"})

        assert [one.unused for one in shown.context["holders"]] == [4]
        assert (wrong.status_code, error_codes(wrong)) == (422, {"season": ["invalid_choice"]})

    @pytest.mark.parametrize("many", [1, 8])
    def test_asks_no_more_for_more_people(
        self, desk, lake, season, vials, django_assert_max_num_queries, make_guide, many
    ):
        for vial in vials[:many]:
            person = make_guide()
            Vial.objects.filter(pk=vial.pk).update(state="issued", issued_to=person, issued_at=NOW)

        with django_assert_max_num_queries(14):
            shown = desk.get(reverse("custody:kits", args=[lake.slug]))
        assert len(shown.context["holders"]) == many


class TestHands:
    def test_nothing_is_filled_in_unasked(self, desk, page, kit):
        untouched = desk.get(page).context["form"]
        pointed = desk.get(page, {"first": number(2)}).context["form"]

        assert [untouched[name].value() for name in ("first", "last", "what")] == [None] * 3
        assert untouched.fields["what"].choices[0][0] == ""
        assert pointed["first"].value() == "26 0002 6"

    def change(self, desk, page, **asked):
        usual = {"first": number(2), "last": number(5), "to": "", "note": ""}
        return desk.post(page, usual | asked, follow=True)

    def test_unused_vials_come_back_and_the_used_one_stays(self, desk, page, kit):
        shown = self.change(desk, page, what="back", first=number(1))

        assert message_tags(shown) == ["success"]
        states = Vial.objects.filter(pk__in=[vial.pk for vial in kit]).order_by("number")
        assert list(states.values_list("state", flat=True)) == ["used", *["printed"] * 4]

    def test_they_are_passed_on_after_a_question(self, desk, page, kit, second_guide, office):
        asked = {"what": "pass", "to": second_guide.pk}

        shown = self.change(desk, page, **asked)
        assert shown.context["question"]
        assert not Vial.objects.filter(issued_to=second_guide).exists()

        self.change(desk, page, sure="1", **asked)
        passed = Vial.objects.filter(issued_to=second_guide)
        assert passed.count() == 4
        assert passed[0].history.first().history_user == office

    def test_they_are_lost_after_a_question_and_can_be_found_again(self, desk, page, lake, kit):
        asked = {"what": "lost", "note": "Overboard"}

        question = self.change(desk, page, first=number(1), **asked).context["question"]
        assert question == [number(place) for place in range(2, 6)]
        self.change(desk, page, sure="1", **asked)

        lost = Vial.objects.filter(state="lost")
        assert lost.count() == 4
        assert {vial.note for vial in lost} == {"Overboard"}
        found = reverse("vials:mark", args=[lake.slug, number(2)])
        desk.post(found, {"what": "back"})
        assert Vial.objects.get(number=number(2)).state == "issued"

    @pytest.mark.parametrize(
        ("changed", "field", "code"),
        [
            ({"what": ""}, "what", "required"),
            ({"what": "pass"}, "to", "required"),
            ({"what": "pass", "to": "999999"}, "to", "invalid_choice"),
            ({"what": "back", "first": "26 0001 9"}, "first", "wrong_check_digit"),
            ({"what": "back", "last": number(1)}, "last", "backwards"),
            ({"what": "back", "last": number(900)}, "last", "unknown"),
            ({"what": "back", "first": number(7), "last": number(8)}, "first", "not_in_hands"),
            ({"what": "lost", "note": " "}, "note", "required"),
            (
                {"what": "lost", "note": "tin", "first": number(7), "last": number(8)},
                "first",
                "not_in_hands",
            ),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, desk, page, kit, changed, field, code):
        shown = self.change(desk, page, **changed)

        assert shown.status_code == 422
        assert error_codes(shown) == {field: [code]}
        assert Vial.objects.filter(state="issued").count() == 4

    def test_nobody_passes_on_to_oneself_or_to_somebody_who_logs_no_fish(
        self, lake, kit, guide, reader, office
    ):
        asked = {"lake": lake, "holder": guide, "first": number(2), "last": number(3)}

        for to, code in ((guide, "same_person"), (reader, "not_logging")):
            with pytest.raises(services.CannotChangeHands) as refused:
                services.pass_on(to=to, actor=office, now=NOW, **asked)
            assert refused.value.code == code


def test_found_again_after_its_tray_dried_a_vial_is_cleared(lake, tray, vials, office):
    receive(vials[:1], office)
    services.put_in_tray(tray=tray, number=number(1), actor=office, now=NOW, today=CAUGHT_ON)
    mark_lost(lake=lake, number=number(1), note="dropped", actor=office, now=NOW)
    ClearingTray.objects.update(dried_on=CAUGHT_ON + timedelta(days=12))

    back = bring_back(lake=lake, number=number(1), actor=office, now=NOW)

    assert back.state == "ready"


def test_the_last_use_of_a_link_or_a_phone_is_a_sign_of_life(lake, season, kit, guide, biologist):
    made = make_link(guide, made_by=biologist, good_until=CAUGHT_ON, now=NOW)
    made.link.last_used_at = NOW + timedelta(hours=2)
    made.link.save()

    [holder] = queries.holders(lake, season, CAUGHT_ON)

    assert holder.seen_at == NOW + timedelta(hours=2)
