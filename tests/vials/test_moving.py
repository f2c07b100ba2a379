"""Pages where vials go out, come in and are looked for."""

import re

import pytest

from samples.models import Vial
from samples.rules import vial_number
from samples.vials import services
from tests.people import NOW, make_vials
from tests.vials.numbers import number
from tests.vials.pages import assert_told_at, page_of, url


class TestIssue:
    @pytest.mark.parametrize("ends", [{"count": "3"}, {"last": number(23)}])
    def test_hands_out_by_how_many_or_by_the_last(self, desk_of_office, lake, guide, vials, ends):
        asked = {"to": guide.pk, "first": number(21), "count": "", "last": ""} | ends

        page = page_of(desk_of_office.post(url("issue", lake), asked, follow=True))

        assert "3 vials issued to R. Ostrow" in page
        assert Vial.objects.filter(issued_to=guide).count() == 23

    @pytest.mark.parametrize(
        ("changed", "field", "sentence"),
        [
            ({"first": "26 A021"}, "id_first", "digits only"),
            ({"first": "26 0021 0", "count": "1"}, "id_first", "26 0021 0 is not one of our"),
            ({"count": ""}, "id_count", "How many vials? Give a number, or the last one."),
            ({"count": "0"}, "id_count", "Give from 1 to 2,000 vials."),
            ({"count": "20"}, "id_count", "was never printed here"),
            ({"last": number(22)}, "id_last", "Give how many or the last number, not both."),
            ({"first": number(20)}, "id_first", "Nothing was issued"),
            ({"to": ""}, "id_to", "To whom? Choose a person."),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(
        self, desk_of_office, lake, second_guide, vials, changed, field, sentence
    ):
        asked = {"to": second_guide.pk, "first": number(21), "count": "3", "last": ""} | changed

        response = desk_of_office.post(url("issue", lake), asked)

        assert_told_at(response, field, sentence)
        assert not Vial.objects.filter(issued_to=second_guide).exists()

    def test_takes_back_with_one_button(self, desk_of_office, lake, vials):
        page = page_of(desk_of_office.get(url("issue", lake)))
        hidden = dict(re.findall(r'name="(first|last)" value="(\d+)"', page))

        answer = desk_of_office.post(url("take_back", lake), hidden, follow=True)

        assert "20 vials are back in the office." in page_of(answer)
        assert "Nobody has vials in hand." in page_of(answer)

    def test_taking_back_nonsense_is_answered_in_words(self, desk_of_office, lake):
        answer = desk_of_office.post(url("take_back", lake), {"first": "x"}, follow=True)

        assert "A vial number has digits only" in page_of(answer)

    @pytest.mark.parametrize("many", [1, 50])
    def test_asks_no_more_for_more_stretches(
        self, desk_of_office, lake, season, guide, office, django_assert_max_num_queries, many
    ):
        for vial in make_vials(season, first=1, count=2 * many, by=office)[::2]:
            vial.state, vial.issued_to, vial.issued_at = "issued", guide, NOW
            vial.save()

        with django_assert_max_num_queries(9):
            page = page_of(desk_of_office.get(url("issue", lake)))
        assert page.count('name="first" value="26') == many + 1


class TestReceive:
    @pytest.mark.parametrize(
        "host", ["https://testserver", "HTTPS://OLD.EXAMPLE:8443", "labels.lakes.example"]
    )
    def test_a_scan_and_enter_is_all(self, desk_of_office, lake, vials, log_fish, settings, host):
        settings.ALLOWED_HOSTS = ["testserver", "old.example", ".lakes.example"]
        log_fish(vials[0])
        scanned = {"number": f"{host}/V/{number(1)}"}

        page = page_of(desk_of_office.post(url("receive", lake), scanned, follow=True))

        assert f"{vial_number.grouped(number(1))} received." in page
        assert Vial.objects.get(pk=vials[0].pk).state == "received"

    @pytest.mark.parametrize("name", ["receive", "find"])
    @pytest.mark.parametrize("host", ["https://elsewhere.example", "elsewhere.example:80"])
    def test_a_link_of_another_host_is_refused(self, desk_of_office, lake, vials, name, host):
        ask = desk_of_office.post if name == "receive" else desk_of_office.get

        response = ask(url(name, lake), {"number": f"{host}/V/{number(1)}"})

        assert_told_at(response, "id_number", "This is a link of elsewhere.example, not a label")
        assert Vial.objects.get(pk=vials[0].pk).state == "issued"

    def test_another_content_of_a_vial_received_before_is_asked_about_and_undone(
        self, desk_of_office, lake, vials
    ):
        desk_of_office.post(url("receive", lake), {"number": number(1), "content": "two"})

        asked = desk_of_office.post(url("receive", lake), {"number": number(1), "content": "one"})

        vial = Vial.objects.get(pk=vials[0].pk)
        page = page_of(asked)
        assert "Inside: two otoliths is on record, and you chose one otolith." in page
        assert vial.content == "two"

        answer = {"number": number(1), "content": "one", "was": "two"}
        changed = desk_of_office.post(url("receive", lake), answer, follow=True)
        assert "inside was two otoliths, and is now one otolith" in page_of(changed)
        assert "Undo: 26 0001 8 back to two otoliths" in page_of(changed)

        back = {"number": number(1), "content": "two", "was": "one"}
        desk_of_office.post(url("receive", lake), back)
        vial.refresh_from_db()
        assert vial.content == "two"
        life = page_of(desk_of_office.get(url("find", lake), {"number": number(1)}))
        assert "Content noted: one otolith" in life

    def test_the_usual_content_stays_for_the_next_vial_and_the_rest_does_not(
        self, desk_of_office, lake, vials
    ):
        usual = desk_of_office.post(url("receive", lake), {"number": number(1), "content": "two"})
        rare = desk_of_office.post(url("receive", lake), {"number": number(2), "content": "broken"})

        assert usual.url.endswith("?inside=two")
        assert rare.url == url("receive", lake)

    def test_says_when_and_by_whom_it_was_received_before(self, desk_of_office, lake, vials, clerk):
        services.receive(lake=lake, number=number(1), actor=clerk, now=NOW)

        answer = desk_of_office.post(url("receive", lake), {"number": number(1)}, follow=True)

        assert "was received on May 6, 2026 by D. Marrable already" in page_of(answer)

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ("26 0001 0", "26 0001 0 is not one of our vial numbers."),
            ("crappie", "A vial number has digits only."),
            (number(900), "was never printed here"),
            (number(31), "belongs to another lake"),
            (number(30), "was made void"),
            ("", "Which vial? Type the number on its label."),
        ],
    )
    def test_says_what_is_wrong_with_a_number(
        self, desk_of_office, lake, other_lake, office, vials, typed, sentence
    ):
        make_vials(other_lake.seasons.get(), first=31, count=1, by=office)
        services.void_vials(lake=lake, first=number(30), last=number(30), actor=office, now=NOW)

        response = desk_of_office.post(url("receive", lake), {"number": typed})

        assert_told_at(response, "id_number", sentence)
        [field] = re.findall(r'<input[^>]*name="number"[^>]*>', page_of(response))
        assert (f'value="{typed}"' in field) == bool(typed)

    def test_names_who_logged_and_never_who_gave(self, desk_of_office, lake, vials, log_fish):
        fish = log_fish(vials[0])
        fish.donor.name = "Somebody Else"
        fish.donor.save()

        page = page_of(desk_of_office.get(url("receive", lake)))

        assert "1 log without a vial received" in page
        assert "R. Ostrow" in page
        assert "Somebody Else" not in page

    @pytest.mark.parametrize("many", [1, 50])
    def test_asks_no_more_for_more_vials(
        self,
        desk_of_office,
        lake,
        season,
        office,
        log_fish,
        django_assert_max_num_queries,
        many,
    ):
        for vial in make_vials(season, first=1, count=many, by=office):
            log_fish(vial)
        for vial in make_vials(season, first=101, count=many, by=office):
            services.receive(lake=lake, number=vial.number, actor=office, now=NOW)

        with django_assert_max_num_queries(9):
            page = page_of(desk_of_office.get(url("receive", lake)))
        assert page.count('<th scope="row"') == 2 * many


class TestFind:
    def find(self, client, lake, typed):
        return client.get(url("find", lake), {"number": typed})

    def test_tells_the_life_of_a_vial(self, desk_of_office, lake, vials, log_fish):
        log_fish(vials[0])

        page = page_of(self.find(desk_of_office, lake, number(1)))

        assert "Now: Used at the ramp: Brindle" in page
        assert "Later: received" in page

    def test_asks_which_where_several_end_alike(self, desk_of_office, lake, vials):
        page = page_of(self.find(desk_of_office, lake, "2"))

        assert "Which of these?" in page
        assert f"?number={number(12)}" in page

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ("26 0001 0", "26 0001 0 is not one of our vial numbers."),
            ("9999", "No vial of Lake Orrinbeck ends with 9999."),
            (number(900), "No vial of Lake Orrinbeck has the number"),
            ("abc", "digits only"),
            ("", "Which vial?"),
        ],
    )
    def test_says_what_is_wrong_with_a_number(self, desk_of_office, lake, vials, typed, sentence):
        assert_told_at(self.find(desk_of_office, lake, typed), "id_number", sentence)

    def test_lost_and_brought_back(self, desk_of_office, lake, vials):
        address = url("mark", lake, number(1))
        page = page_of(desk_of_office.post(address, {"what": "lost", "note": "boat"}, follow=True))
        assert "Now: Lost: boat" in page

        page = page_of(desk_of_office.post(address, {"what": "back"}, follow=True))

        assert "Now: Brought back: issued" in page

    def test_a_vial_with_a_fish_is_not_made_void(self, desk_of_office, lake, vials, log_fish):
        log_fish(vials[0])

        response = desk_of_office.post(
            url("mark", lake, number(1)), {"what": "void", "note": "torn"}
        )

        assert_told_at(response, "id_what", "A fish is logged under")
        assert 'value="torn"' in page_of(response)
