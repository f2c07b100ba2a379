"""The page that logs a fish, as a guide uses it."""

import re
from datetime import date
from uuid import uuid4

import pytest

from samples.models import Fish, HeldEntry, Season, Vial
from samples.rules import vial_number
from tests.people import NOW, make_vials
from tests.ramp.typed import LOG, page_of, words
from tests.shown import error_codes, message_tags, question_codes, shown_errors


def checked_species(page):
    fields = re.findall(r'<input[^>]*name="species"[^>]*>', page)
    checked = [one for one in fields if " checked" in one]
    return re.findall(r'value="([^"]*)"', " ".join(checked))


def vial_offered(ramp):
    [field] = re.findall(r'<input[^>]* name="vial"[^>]*>', page_of(ramp.get(LOG)))
    return "".join(re.findall(r'value="([^"]*)"', field))


class TestLog:
    def test_without_a_party_one_is_opened_first_and_the_scanned_vial_is_kept(
        self, client, guide, vials
    ):
        client.force_login(guide)

        response = client.get(f"/V/{vials[3].number}", follow=True)

        assert response.redirect_chain[-1][0] == f"/ramp/party/open/?vial={vials[3].number}"

    def test_a_labels_link_fills_the_vial_in(self, ramp, vials):
        response = ramp.get(f"/V/{vials[3].number}", follow=True)

        assert 'value="26 0004 2"' in page_of(response)

    def test_saves_and_offers_the_next_number_and_the_same_species(self, ramp, vials):
        response = ramp.post(LOG, words("26 0001 8"), follow=True)

        page = page_of(response)
        assert Fish.objects.get().vial == vials[0]
        assert "Saved 26 0001 8: 9.4 in," in page
        assert 'value="26 0002 6"' in page
        assert checked_species(page) == ["white-crappie"]

    def test_vials_left_over_from_another_season_are_not_offered_first(
        self, ramp, lake, guide, office
    ):
        old = Season.objects.create(
            lake=lake,
            name="2025",
            number_year=2025,
            starts_on=date(2025, 1, 1),
            ends_on=date(2025, 12, 31),
        )
        [left_over] = make_vials(old, first=1, count=1, by=office)
        Vial.objects.filter(pk=left_over.pk).update(state="issued", issued_to=guide, issued_at=NOW)

        assert 'value="26 0001 8"' in page_of(ramp.get(LOG))

    def test_help_is_offered_where_there_is_more_than_one_to_tell_apart(self, ramp, lake):
        assert "Spines?" in page_of(ramp.get(LOG))

        lake.lake_species.exclude(species__code="white-crappie").delete()

        assert "Spines?" not in page_of(ramp.get(LOG))

    def test_spines_are_counted_on_the_picture_and_nothing_typed_is_lost(self, ramp):
        page = page_of(ramp.get(LOG))
        typed = words("26 0004 2", length="10.3") | {"counted": "6"}
        counted = page_of(ramp.post(LOG, typed))
        ramp.post(LOG, words("26 0004 2", length="10.3") | {"spines": "6", "told_by": "spines"})

        assert re.findall(r'name="counted" value="(\d+)"', page) == list("456789")
        assert "spines.svg#spines" in page
        assert "Spines: 6</button>" in counted
        assert 'value="26 0004 2"' in counted
        assert 'value="10.3"' in counted
        [field] = re.findall(r'<input[^>]* name="spines"[^>]*>', counted)
        assert 'value="6"' in field
        assert "error" not in counted
        fish = Fish.objects.get()
        assert (fish.spines, fish.told_by) == (6, "spines")

    def test_a_double_tap_is_one_fish(self, ramp):
        tapped = words("26 0001 8")

        answers = [ramp.post(LOG, tapped), ramp.post(LOG, tapped)]

        assert [answer.status_code for answer in answers] == [302, 302]
        assert Fish.objects.count() == 1

    def test_last_digits_are_enough_where_one_vial_in_hand_ends_so(self, ramp, vials):
        ramp.post(LOG, words("0007"))
        ramp.post(LOG, words("83"))

        assert [fish.vial.sequence for fish in Fish.objects.order_by("pk")] == [7, 8]

    def test_last_digits_that_fit_several_are_asked_about(self, ramp, vials):
        response = ramp.post(LOG, words("1"))

        page = page_of(response)
        assert response.status_code == 422
        assert len(response.context["several"]) > 1
        assert all(vial_number.grouped(one) in page for one in response.context["several"])
        assert not Fish.objects.exists()

    @pytest.mark.parametrize(
        ("typed", "code"),
        [
            ({"vial": "26 O001 8"}, "not_digits"),
            ({"length": "9.45"}, "unreadable"),
            ({"length": "nine"}, "unreadable"),
            ({"length": ""}, "required"),
            ({"sex": ""}, "required"),
            ({"species": ""}, "required"),
        ],
        ids=lambda value: str(value),
    )
    def test_bad_input_is_answered_beside_the_field_and_kept(self, ramp, typed, code):
        response = ramp.post(LOG, words("26 0001 8") | typed)

        page = page_of(response)
        assert response.status_code == 422
        assert error_codes(response) == {name: [code] for name in typed}
        assert "<title>Error: " in page
        assert not Fish.objects.exists()
        for name, value in typed.items():
            if value and name != "species":
                assert f'value="{value}"' in page

    def test_every_link_of_the_summary_leads_to_something(self, ramp):
        page = page_of(ramp.post(LOG, {"entry_id": str(uuid4())}))

        targets = re.findall(r'<li><a href="#([^"]+)">', page)
        assert len(targets) >= 3
        assert all(f'id="{target}"' in page for target in targets)

    def test_length_with_a_comma_or_a_unit_is_read(self, ramp, vials):
        ramp.post(LOG, words("26 0001 8", length="9,4"))
        ramp.post(LOG, words("26 0002 6", length="240 mm"))

        lengths = Fish.objects.order_by("pk").values_list("length_hundredths_mm", flat=True)
        assert list(lengths) == [23876, 24000]

    def test_a_missing_point_is_asked_about_and_yes_saves_the_likelier_length(self, ramp):
        typed = words("26 0001 8", length="94")

        asked = ramp.post(LOG, typed)
        ramp.post(LOG, typed | {"use_length": "9.4"})

        assert question_codes(asked) == ["missing_point"]
        assert 'value="94"' in page_of(asked)
        assert Fish.objects.get().length_as_measured == "9.4"

    @pytest.mark.parametrize("length", ["101", "1.01", "1.0.1"])
    def test_the_likely_length_is_offered_as_a_button(self, ramp, length):
        typed = words("26 0001 8", length=length)

        asked = page_of(ramp.post(LOG, typed))
        ramp.post(LOG, typed | {"use_length": "10.1"})

        assert 'name="use_length" value="10.1">Yes, 10.1' in asked
        assert f'value="{length}"' in asked
        assert Fish.objects.get().length_as_measured == "10.1"

    def test_a_vial_that_was_confirmed_is_not_asked_about_again_for_a_length(self, ramp, vials):
        vials[0].issued_to = None
        vials[0].save()
        typed = words("26 0001 8", length="94", confirmed="vial_elsewhere,length_above_range")

        ramp.post(LOG, typed | {"use_length": "9.4"})

        fish = Fish.objects.get()
        assert (fish.length_as_measured, fish.slip_answers) == ("9.4", ["vial_elsewhere"])

    def test_a_length_that_cannot_be_read_has_no_button_to_keep_it(self, ramp):
        asked = ramp.post(LOG, words("26 0001 8", length="1.01"))

        assert error_codes(asked) == {"length": ["unreadable"]}
        assert 'name="confirm" value="point_misplaced"' not in page_of(asked)

    def test_a_near_vial_is_taken_by_its_button(self, ramp):
        typed = words("26 0001 5")

        ramp.post(LOG, typed)
        ramp.post(LOG, typed | {"use_vial": "26 0001 8"})

        assert Fish.objects.get().vial.number == "2600018"

    def test_a_near_vial_is_offered_for_a_number_with_a_digit_left_out(self, ramp):
        asked = page_of(ramp.post(LOG, words("260018")))

        assert "too short" in asked
        assert 'value="26 0001 8">26 0001 8' in asked

    def test_last_digits_that_nobody_holds_say_so(self, ramp):
        asked = ramp.post(LOG, words("999"))

        assert error_codes(asked) == {"vial": ["none_ends_so"]}

    def test_a_vial_of_another_year_is_no_example_for_digits_that_nobody_holds(self, ramp, guide):
        old = vial_number.make(2025, 1, 4)
        Vial.objects.filter(sequence=1).update(number=old)
        of_year = Vial.objects.filter(issued_to=guide, state="issued").exclude(number=old)
        first = min(of_year.values_list("number", flat=True))

        [with_both] = shown_errors(ramp.post(LOG, words("999")))["vial"]
        of_year.update(state="void")
        [alone] = shown_errors(ramp.post(LOG, words("999")))["vial"]

        assert vial_number.grouped(first) in with_both.message
        assert vial_number.grouped(old) not in with_both.message
        assert vial_number.grouped(old) not in alone.message

    def test_last_digits_of_a_vial_that_has_a_fish_say_which(self, ramp):
        ramp.post(LOG, words("26 0001 8"))

        asked = ramp.post(LOG, words("00018", length="11.0"))

        assert question_codes(asked) == ["vial_used"]
        [about] = asked.context["form"].questions
        assert "9.4 in" in about.question.sentence

    def test_no_number_is_offered_after_a_fish_that_was_only_measured(self, ramp, guide, lake):
        guide.memberships.create(lake=lake, role="clerk")

        ramp.post(LOG, words("26 0001 8"))
        after_a_vial = vial_offered(ramp)
        ramp.post(LOG, words(""))
        after_none = vial_offered(ramp)
        ramp.post(LOG, words("26 0003 4"))

        assert [after_a_vial, after_none, vial_offered(ramp)] == ["26 0002 6", "", "26 0004 2"]

    def test_a_length_out_of_range_is_saved_once_it_is_confirmed(self, ramp):
        typed = words("26 0001 8", length="21.4")

        asked = page_of(ramp.post(LOG, typed))
        ramp.post(LOG, typed | {"confirm": "length_out_of_range"})

        assert 'name="confirm" value="length_out_of_range"' in asked
        assert Fish.objects.get().slip_answers == ["length_out_of_range"]

    def test_a_wrong_check_digit_is_asked_about_and_then_held(self, ramp):
        typed = words("26 0001 5")

        asked = ramp.post(LOG, typed)
        told = ramp.post(LOG, typed | {"confirm": "wrong_check_digit"}, follow=True)

        assert question_codes(asked) == ["wrong_check_digit"]
        assert 'name="use_vial" value="26 0001 8">26 0001 8' in page_of(asked)
        assert message_tags(told) == ["wrong_check_digit warning"]
        assert HeldEntry.objects.get().said["vial"] == "26 0001 5"

    def test_a_used_vial_is_held_and_the_guide_is_told(self, ramp):
        ramp.post(LOG, words("26 0001 8"))

        used = words("26 0001 8", length="11.0")
        asked = ramp.post(LOG, used)
        response = ramp.post(LOG, used | {"confirm": "vial_used"}, follow=True)

        assert question_codes(asked) == ["vial_used"]
        assert message_tags(response) == ["vial_taken warning"]
        assert HeldEntry.objects.count() == 1

    def test_back_with_other_words_asks_correct_or_new(self, ramp, vials):
        first = words("26 0001 8")
        ramp.post(LOG, first)
        changed = first | {"length": "10.2"}

        asked = page_of(ramp.post(LOG, changed))
        ramp.post(LOG, changed | {"again": "correct"})

        assert re.findall(r'name="again" value="(\w+)"', asked) == ["correct", "new"]
        assert Fish.objects.get().length_as_measured == "10.2"
        assert not HeldEntry.objects.exists()

    def test_back_with_a_new_fish_is_another_fish(self, ramp, vials):
        first = words("26 0001 8")
        ramp.post(LOG, first)

        ramp.post(LOG, first | {"vial": "26 0002 6", "again": "new"})

        assert [fish.vial.sequence for fish in Fish.objects.order_by("pk")] == [1, 2]

    def test_undo_and_correct_stand_beside_the_last_fish(self, ramp, vials):
        ramp.post(LOG, words("26 0001 8"))
        fish = Fish.objects.get()

        ramp.post(f"/ramp/fish/{fish.entry_id}/correct/", words("26 0005 9", length="8.8"))
        fish.refresh_from_db()
        corrected = (fish.vial.sequence, fish.length_as_measured)
        ramp.post(f"/ramp/fish/{fish.entry_id}/undo/")
        ramp.post(f"/ramp/fish/{fish.entry_id}/undo/")

        fish.refresh_from_db()
        assert corrected == (5, "8.8")
        assert (fish.withdrawn, fish.vial) == (True, None)

    def test_an_old_page_logs_into_the_party_it_was_made_for(self, ramp, lake, guide, party):
        page = page_of(ramp.get(LOG))
        newer = {
            "arm": "Hobbin",
            "caught_on": "2026-05-06",
            "method": "angler_kept",
            "how_chosen": "every_fish",
            "kept": "fresh",
            "confirmed": "date_in_future,date_out_of_season",
        }
        ramp.post("/ramp/party/open/", newer | {"entry_id": str(uuid4())})

        ramp.post(LOG, words("26 0001 8", for_party=str(party.party_id)))

        assert f'value="{party.party_id}"' in page
        assert Fish.objects.get().arm.name == "Brindle"

    def test_a_vial_in_other_hands_is_asked_about_and_nobody_is_named(
        self, ramp, client, vials, second_guide, guide
    ):
        vials[0].issued_to = second_guide
        vials[0].save()

        asked = ramp.post(LOG, words("26 0001 8"))
        ramp.post(LOG, words("26 0001 8", confirm="vial_elsewhere"))

        assert question_codes(asked) == ["vial_elsewhere"]
        assert "Talvik" not in page_of(asked)
        assert Fish.objects.get().vial == vials[0]

    def test_another_guides_used_vial_tells_nothing_of_the_fish(
        self, ramp, client, second_guide, lake
    ):
        ramp.post(LOG, words("26 0001 8"))
        client.force_login(second_guide)
        client.post(
            "/ramp/party/open/",
            {
                "arm": "Hobbin",
                "caught_on": "2026-05-06",
                "method": "angler_kept",
                "how_chosen": "every_fish",
                "kept": "fresh",
                "confirmed": "date_in_future,date_out_of_season",
                "entry_id": str(uuid4()),
            },
        )

        asked = client.post(LOG, words("26 0001 8", length="8.0"))

        assert question_codes(asked) == ["vial_used"]
        assert "9.4" not in page_of(asked)

    def test_an_unknown_number_is_asked_about_first(self, ramp):
        asked = ramp.post(LOG, words(vial_number.make(2026, 9001, 4)))

        assert question_codes(asked) == ["unknown_vial"]
        assert not HeldEntry.objects.exists()

    def test_another_guides_fish_is_not_there(self, ramp, client, second_guide):
        ramp.post(LOG, words("26 0001 8"))
        fish = Fish.objects.get()
        client.force_login(second_guide)

        assert client.get(f"/ramp/fish/{fish.entry_id}/correct/").status_code == 404
        assert client.post(f"/ramp/fish/{fish.entry_id}/undo/").status_code == 404
        assert "9.4 in" not in page_of(client.get("/ramp/mine/"))

    def test_asks_the_database_the_same_however_many_fish_there_are(
        self, ramp, vials, django_assert_max_num_queries
    ):
        for vial in vials[:15]:
            ramp.post(LOG, words(vial.number))

        with django_assert_max_num_queries(24):
            ramp.get(LOG)
