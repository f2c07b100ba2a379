"""The lab's pages and the door of the grid's script, as people meet them."""

import html
import json
import re

import pytest
from django.urls import reverse

from samples.lab import queries
from samples.models import Age, Reading
from tests.lab.making import decision, put_in_lab, read
from tests.people import make_vials
from tests.shown import error_codes, message_tags


@pytest.fixture
def as_reader(client, reader):
    client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def as_biologist(client, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


def grid_address(lake, query=""):
    return reverse("lab:grid", args=[lake.slug]) + query


def page_of(name, lake, vial):
    return reverse(f"lab:{name}", args=[lake.slug, vial.number])


def typed(at, **changes):
    said = {"vial": at.number, "annuli": "4", "margin": "1", "method": "whole"}
    return {**said, "readability": "1", "length": "hidden", **changes}


def send(client, lake, said):
    return client.post(
        reverse("lab:save_row", args=[lake.slug]),
        data=said if isinstance(said, str) else json.dumps(said),
        content_type="application/json",
    )


class TestMoreOfAReading:
    def test_side_light_axis_and_note_are_saved_with_the_row(self, as_reader, vial, fish, lake):
        more = {"side": "left", "light": "transmitted", "axis": "sulcus", "note": "check at 2"}

        send(as_reader, lake, typed(vial, **more))

        reading = Reading.objects.get()
        assert {name: getattr(reading, name) for name in more} == more
        page = as_reader.get(grid_address(lake)).content.decode()
        assert re.search(r"<details class=.reading-details. open>", page)
        assert 'value="check at 2"' in page

    def test_a_row_that_does_not_send_them_leaves_them_as_they_are(
        self, as_reader, vial, fish, lake
    ):
        send(as_reader, lake, typed(vial, note="check at 2"))
        send(as_reader, lake, typed(vial, annuli="5"))

        reading = Reading.objects.get()
        assert (reading.annuli, reading.note) == (5, "check at 2")

    def test_a_note_is_taken_out_again(self, as_reader, vial, fish, lake):
        send(as_reader, lake, typed(vial, note="check at 2"))
        send(as_reader, lake, typed(vial, note=""))

        assert Reading.objects.get().note == ""

    def test_a_count_above_the_highest_age_is_asked_about_while_the_age_is_open(
        self, as_reader, vial, fish, lake
    ):
        # Margin 3 in the weeks in which annuli form: the rule leaves the age open.
        answer = send(as_reader, lake, typed(vial, annuli="30", margin="3"))

        assert answer.status_code == 422
        [question] = answer.json()["questions"]
        assert (question["code"], question["field"]) == ("age_above_highest", "annuli")
        assert not Reading.objects.exists()


class TestGrid:
    def test_a_blind_page_shows_neither_length_nor_any_other_reading(
        self, as_reader, vial, fish, lake, biologist
    ):
        fish.length_hundredths_mm = 11 * 2540 + 254 * 7
        fish.save()
        read(vial, biologist, 17, 1, confirmed=["age_above_highest"], note="Secret words")
        words = as_reader.get(grid_address(lake)).content.decode()
        assert "26 0001" in words
        assert "White crappie" in words
        for hidden in (
            "11.7",
            '"17"',
            "17 annuli",
            "Age 17",
            "N. Aubrey",
            "Secret words",
            "year class",
            "2009",
        ):
            assert hidden not in words

    def test_heading_and_list_tell_their_counts_apart(
        self, as_reader, vials, party, white, lake, reader
    ):
        for one in vials[:3]:
            put_in_lab(one, party, white)
        read(vials[0], reader, 4, 1)

        words = as_reader.get(grid_address(lake, "?show=all")).content.decode()

        assert "<h1>2 " in words
        assert "1 to 3 of 3</strong>, 1 " in words

    def test_lengths_and_own_earlier_readings_are_shown_on_request(
        self, as_reader, vial, fish, lake, reader
    ):
        fish.length_hundredths_mm = 11 * 2540 + 254 * 7
        fish.save()
        read(vial, reader, 4, 2, sitting_on="2026-05-05")
        words = as_reader.get(grid_address(lake, "?length=shown&show=all")).content.decode()
        assert "11.7" in words
        assert "4, margin 2 on May 5, 2026" in words
        words = as_reader.get(grid_address(lake, "?show=all")).content.decode()
        assert "11.7" not in words
        assert "May 5, 2026" not in words

    def test_without_a_script_a_row_is_saved_and_the_page_comes_back(
        self, as_reader, vial, fish, lake, reader
    ):
        answer = as_reader.post(grid_address(lake, "?length=shown"), typed(vial, length="shown"))
        assert answer.status_code == 302
        assert answer.url == grid_address(lake, f"?length=shown#row-{vial.number}")
        reading = Reading.objects.get()
        assert (reading.reader, reading.annuli, reading.margin) == (reader, 4, 1)
        assert (reading.readability, reading.length_was_hidden) == (1, False)
        assert "Age 4" in as_reader.get(f"{grid_address(lake)}?show=all").content.decode()

    def test_a_row_that_is_refused_keeps_what_was_typed_and_says_why_beside_it(
        self, as_reader, vial, fish, lake
    ):
        answer = as_reader.post(grid_address(lake), typed(vial, annuli="four"))
        assert answer.status_code == 422
        words = answer.content.decode()
        assert 'value="four"' in words
        assert words.count('class="field-error"') == 1
        assert words.count("data-wrong") == 1
        assert Reading.objects.count() == 0

    def test_a_question_is_answered_with_its_button(self, as_reader, vial, fish, lake):
        answer = as_reader.post(grid_address(lake), typed(vial, margin=""))
        assert answer.status_code == 422
        assert 'name="confirmed" value="margin_needed"' in answer.content.decode()
        said = typed(vial, margin="", confirmed="margin_needed")
        assert as_reader.post(grid_address(lake), said).status_code == 302
        assert Reading.objects.get().margin is None

    def test_a_vial_of_another_page_gets_its_answer_on_top(self, as_reader, vial, lake):
        answer = as_reader.post(grid_address(lake), typed(vial))
        assert answer.status_code == 422
        assert not Reading.objects.exists()

    def test_an_address_that_no_page_wrote_shows_the_usual_grid(self, as_reader, fish, lake):
        odd = "?show=none&species=x&arm=999&method=no&length=maybe&page=77"
        assert "26 0001" in as_reader.get(grid_address(lake, odd)).content.decode()

    @pytest.mark.parametrize("count", [1, 50])
    def test_the_page_asks_the_same_few_questions_however_long(
        self,
        as_reader,
        season,
        office,
        party,
        white,
        lake,
        django_assert_max_num_queries,
        count,
    ):
        for one in make_vials(season, first=1, count=count, by=office):
            put_in_lab(one, party, white)
        with django_assert_max_num_queries(12):
            answer = as_reader.get(grid_address(lake))
        assert answer.content.decode().count("data-row=") == count


class TestSavingARow:
    def test_a_row_is_saved_and_answered_with_its_age_and_rule(self, as_reader, vial, fish, lake):
        answer = send(as_reader, lake, typed(vial, annuli=3, margin=4))
        assert answer.status_code == 200
        said = answer.json()
        assert (said["saved"], said["created"]) == (True, True)
        assert (said["age"], said["year_class"], said["rule"]) == (4, 2022, "within_wide")
        assert Reading.objects.get().length_was_hidden is True

    def test_the_answer_says_nothing_of_what_others_read(
        self, as_reader, vial, fish, lake, biologist
    ):
        read(vial, biologist, 9, 1)
        said = send(as_reader, lake, typed(vial)).json()
        assert set(said) == {
            *(
                "saved",
                "created",
                "vial",
                "age",
                "year_class",
                "rule",
                "sentence",
                "flags",
                "take_back",
            )
        }
        assert (said["age"], said["flags"]) == (4, [])
        assert Age.objects.get(fish=fish).standing == "to_settle"

    @pytest.mark.parametrize(
        ("changes", "field"),
        [
            ({"annuli": ""}, "annuli"),
            ({"annuli": "60"}, "annuli"),
            ({"annuli": None}, "annuli"),
            ({"margin": "5"}, "margin"),
            ({"annuli": "0", "margin": "2"}, "margin"),
            ({"method": "guess"}, "method"),
            ({"vial": "2600015"}, "vial"),
            ({"vial": ""}, "vial"),
        ],
    )
    def test_what_cannot_be_saved_is_said_by_field(
        self, as_reader, vial, fish, lake, changes, field
    ):
        answer = send(as_reader, lake, typed(vial, **changes))
        assert answer.status_code == 422
        assert list(answer.json()["errors"]) == [field]
        assert Reading.objects.count() == 0

    def test_questions_come_with_code_and_field_and_can_be_confirmed(
        self, as_reader, vial, fish, lake
    ):
        answer = send(as_reader, lake, typed(vial, annuli="14"))
        assert answer.status_code == 422
        (question,) = answer.json()["questions"]
        assert (question["code"], question["field"]) == ("age_above_highest", "annuli")
        answer = send(as_reader, lake, typed(vial, annuli="14", confirmed=[question["code"]]))
        assert answer.status_code == 200
        assert len(answer.json()["flags"]) == 1
        assert Reading.objects.get().slip_answers == ["age_above_highest"]

    @pytest.mark.parametrize("said", ["", "not json", "[1]", '"4"'])
    def test_what_is_no_row_is_refused(self, as_reader, fish, lake, said):
        assert send(as_reader, lake, said).status_code == 400

    def test_a_vial_of_another_lake_is_not_found(self, as_reader, lake, other_lake, office, party):
        (vial,) = make_vials(other_lake.seasons.get(), first=900, count=1, by=office)
        answer = send(as_reader, lake, typed(vial))
        assert list(answer.json()["errors"]) == ["vial"]
        assert not Reading.objects.exists()

    def test_nobody_signed_in_is_sent_to_sign_in(self, client, vial, fish, lake):
        assert send(client, lake, typed(vial)).status_code == 302


class TestSettle:
    def test_every_reading_stands_side_by_side_with_its_rule(
        self, as_biologist, vial, fish, lake, reader, biologist
    ):
        read(vial, reader, 3, 4)
        read(vial, biologist, 3, 1)
        words = as_biologist.get(reverse("lab:settle", args=[lake.slug])).content.decode()
        assert "<h1>1 " in words
        assert "T. Vesk" in words
        [card] = queries.cards(queries.ages_to_settle(biologist, lake), lake)
        assert [one.result.age for one in card.readings] == [4, 3]
        page = html.unescape(words)
        assert [one.result.sentence in page for one in card.readings] == [True, True]


class TestOneFish:
    def test_the_page_shows_the_age_and_the_rule_that_made_it(
        self, as_biologist, vial, fish, lake, reader
    ):
        read(vial, reader, 3, 4)
        words = as_biologist.get(page_of("vial", lake, vial)).content.decode()
        assert "Age 4, year class 2022" in words
        assert Age.objects.get().rule == "within_wide"
        assert "within_wide" not in words
        assert "3 annuli, margin 4" in words

    def test_a_reading_is_added_by_a_plain_form(self, as_biologist, vial, fish, lake, biologist):
        said = {"annuli": "4", "margin": "", "edge": "yes", "method": "section", "side": "left"}
        answer = as_biologist.post(
            page_of("vial", lake, vial), {**said, "confirmed": "margin_needed"}
        )
        assert answer.status_code == 302
        reading = Reading.objects.get()
        assert (reading.reader, reading.method, reading.side) == (biologist, "section", "left")
        assert (reading.annulus_at_edge, reading.length_was_hidden) == (True, False)

    @pytest.mark.parametrize(
        ("changes", "errors", "asked"),
        [
            ({"annuli": ""}, {"annuli": ["required"]}, []),
            ({"margin": "1", "edge": "no"}, {"edge": ["margin_contradicts_edge"]}, []),
            ({"margin": ""}, {}, ["margin_needed"]),
        ],
    )
    def test_a_reading_that_is_not_kept_says_why(
        self, as_biologist, vial, fish, lake, changes, errors, asked
    ):
        said = {"annuli": "4", "margin": "1", "edge": "", "method": "whole", **changes}
        answer = as_biologist.post(page_of("vial", lake, vial), said)
        assert answer.status_code == 422
        assert error_codes(answer) == errors
        assert [one.code for one in answer.context["questions"]] == asked
        page = html.unescape(answer.content.decode())
        assert all(one.sentence in page for one in answer.context["questions"])
        assert Reading.objects.count() == 0

    def test_a_decision_is_taken_back(self, as_biologist, vial, fish, lake, reader):
        read(vial, reader, 4, 1)
        as_biologist.post(page_of("decide", lake, vial), decision(fish))
        as_biologist.post(page_of("undo", lake, vial))
        assert Age.objects.get(fish=fish).standing == "one_reader"
        answer = as_biologist.post(page_of("undo", lake, vial), follow=True)
        assert message_tags(answer)[-1] == "not_decided error"

    def test_a_vial_without_a_fish_has_no_such_page(self, as_biologist, vials, fish, lake):
        assert as_biologist.get(page_of("vial", lake, vials[9])).status_code == 404


class TestWhoMay:
    def test_a_reader_decides_nothing(self, as_reader, vial, fish, lake, reader):
        read(vial, reader, 4, 1)
        assert as_reader.get(reverse("lab:settle", args=[lake.slug])).status_code == 403
        assert as_reader.get(page_of("vial", lake, vial)).status_code == 403
        assert as_reader.get(page_of("decide", lake, vial)).status_code == 403
        assert as_reader.post(page_of("decide", lake, vial), decision(fish)).status_code == 403
        assert as_reader.post(page_of("undo", lake, vial)).status_code == 403
        assert Age.objects.get(fish=fish).standing == "one_reader"

    def test_a_guide_reads_nothing(self, client, guide, vial, fish, lake):
        client.force_login(guide, backend="django.contrib.auth.backends.ModelBackend")
        assert client.get(grid_address(lake)).status_code == 403
        assert send(client, lake, typed(vial)).status_code == 403

    def test_a_stranger_finds_no_such_page(self, client, stranger, vial, fish, lake):
        client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")
        assert client.get(grid_address(lake)).status_code == 404
        assert client.get(reverse("lab:settle", args=[lake.slug])).status_code == 404
        assert client.get(page_of("vial", lake, vial)).status_code == 404
        assert send(client, lake, typed(vial)).status_code == 404
        assert Reading.objects.count() == 0
