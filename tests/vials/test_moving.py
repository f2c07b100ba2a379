"""Pages where vials go out, come in and are looked for."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from samples.models import Vial
from samples.vials import services
from tests.factories import make_fish
from tests.people import NOW, make_vials
from tests.shown import error_codes, message_tags
from tests.vials.numbers import number
from tests.vials.pages import assert_refused_at, page_of, url

SCAN = {"X-Scan": "1"}


def page_address(lake, number):
    return reverse("search:vial", args=[lake.slug, number])


class TestIssue:
    @pytest.mark.parametrize("ends", [{"count": "3"}, {"last": number(23)}])
    def test_hands_out_by_how_many_or_by_the_last(self, desk_of_office, lake, guide, vials, ends):
        asked = {"to": guide.pk, "first": number(21), "count": "", "last": ""} | ends

        page = desk_of_office.post(url("issue", lake), asked, follow=True)

        assert message_tags(page) == ["success"]
        assert Vial.objects.filter(issued_to=guide).count() == 23

    @pytest.mark.parametrize(
        ("changed", "field", "code"),
        [
            ({"first": "26 A021"}, "first", "not_digits"),
            ({"first": "26 0021 0", "count": "1"}, "first", "wrong_check_digit"),
            ({"count": ""}, "count", "required"),
            ({"count": "0"}, "count", "too_many"),
            ({"count": "20"}, "count", "unknown"),
            ({"last": number(22)}, "last", "both"),
            ({"first": number(20)}, "first", "not_in_office"),
            ({"to": ""}, "to", "required"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(
        self, desk_of_office, lake, second_guide, vials, changed, field, code
    ):
        asked = {"to": second_guide.pk, "first": number(21), "count": "3", "last": ""} | changed

        response = desk_of_office.post(url("issue", lake), asked)

        assert_refused_at(response, field, code)
        assert not Vial.objects.filter(issued_to=second_guide).exists()

    def test_takes_back_with_one_button(self, desk_of_office, lake, vials):
        page = page_of(desk_of_office.get(url("issue", lake)))
        hidden = dict(re.findall(r'name="(first|last)" value="(\d+)"', page))

        answer = desk_of_office.post(url("take_back", lake), hidden, follow=True)

        assert message_tags(answer) == ["success"]
        assert not answer.context["hands"]
        assert not Vial.objects.filter(state="issued").exists()

    def test_taking_back_nonsense_is_answered_in_words(self, desk_of_office, lake):
        answer = desk_of_office.post(url("take_back", lake), {"first": "x"}, follow=True)

        assert message_tags(answer) == ["not_digits error"]

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

        page = desk_of_office.post(url("receive", lake), scanned, follow=True)

        assert message_tags(page) == ["success"]
        assert Vial.objects.get(pk=vials[0].pk).state == "received"

    @pytest.mark.parametrize("typed", ["0021", number(21)[-4:]])
    def test_last_digits_are_enough(self, desk_of_office, lake, vials, typed):
        page = desk_of_office.post(url("receive", lake), {"number": typed}, follow=True)

        assert message_tags(page) == ["success"]
        assert Vial.objects.get(pk=vials[20].pk).state == "received"

    def test_last_digits_of_several_are_asked_about_the_used_one_first(
        self, desk_of_office, lake, vials, log_fish
    ):
        """26 0001 8 ends in 0018 too; that one was used, and is on its way."""
        assert vials[0].number[-4:] == "0018"
        asked = {"number": "0018"}

        log_fish(vials[0])
        refused = desk_of_office.post(url("receive", lake), asked | {"content": "two"})

        assert error_codes(refused) == {"number": ["several"]}
        assert refused.context["problem"].choices == (vials[0].number, vials[17].number)
        assert Vial.objects.get(pk=vials[0].pk).state == "used"
        shown = page_of(refused)
        for vial in (vials[0], vials[17]):
            assert f'name="number" value="{vial.number}"' in shown
        assert '<input type="hidden" name="content" value="two">' in shown

    def test_the_last_scan_is_undone_and_the_tally_follows(
        self, desk_of_office, lake, vials, log_fish
    ):
        for vial in vials[:3]:
            log_fish(vial)
        for vial in vials[:2]:
            page = desk_of_office.post(url("receive", lake), {"number": vial.number}, follow=True)
        tally = page.context["tally"]
        assert (tally.count, tally.expected) == (2, 3)

        page = desk_of_office.post(url("receive", lake), {"undo": number(2)}, follow=True)

        assert message_tags(page) == ["success"]
        assert page.context["tally"].count == 1
        vial = Vial.objects.get(pk=vials[1].pk)
        assert (vial.state, vial.received_at) == ("used", None)

    def test_an_undo_that_is_sent_twice_undoes_one_scan(self, desk_of_office, lake, vials):
        for place in (1, 2):
            desk_of_office.post(url("receive", lake), {"number": number(place)}, follow=True)

        tags = [
            message_tags(
                desk_of_office.post(url("receive", lake), {"undo": number(2)}, follow=True)
            )
            for _ in range(2)
        ]

        assert tags == [["success"], ["not_the_last error"]]
        assert Vial.objects.get(pk=vials[0].pk).state == "received"

    def test_undo_names_the_vial_that_this_person_scanned_last(
        self, desk_of_office, lake, vials, clerk
    ):
        desk_of_office.post(url("receive", lake), {"number": number(1)})
        services.receive(lake=lake, number=number(2), actor=clerk, now=timezone.now())

        page = desk_of_office.get(url("receive", lake))

        assert page.context["last"].number == number(1)
        assert f'name="undo" value="{number(1)}"' in page.content.decode()

    def test_a_vial_whose_fish_was_logged_meanwhile_is_used(
        self, desk_of_office, lake, vials, party, white
    ):
        desk_of_office.post(url("receive", lake), {"number": number(1)})
        make_fish(party, white, vial=vials[0])

        desk_of_office.post(url("receive", lake), {"undo": number(1)})

        assert Vial.objects.get(pk=vials[0].pk).state == "used"

    def test_a_vial_that_went_on_stays_received(self, desk_of_office, lake, vials):
        desk_of_office.post(url("receive", lake), {"number": number(1)}, follow=True)
        Vial.objects.filter(pk=vials[0].pk).update(state="read")

        page = desk_of_office.post(url("receive", lake), {"undo": number(1)}, follow=True)

        assert message_tags(page) == ["moved_on error"]
        assert Vial.objects.get(pk=vials[0].pk).state == "read"

    @pytest.mark.parametrize("name", ["receive", "find"])
    @pytest.mark.parametrize("host", ["https://elsewhere.example", "elsewhere.example:80"])
    def test_a_link_of_another_host_is_refused(self, desk_of_office, lake, vials, name, host):
        ask = desk_of_office.post if name == "receive" else desk_of_office.get

        response = ask(url(name, lake), {"number": f"{host}/V/{number(1)}"})

        assert response.status_code == 422
        assert error_codes(response) == {"number": ["other_host"]}
        assert Vial.objects.get(pk=vials[0].pk).state == "issued"

    def test_another_content_of_a_vial_received_before_is_asked_about_and_undone(
        self, desk_of_office, lake, vials
    ):
        desk_of_office.post(url("receive", lake), {"number": number(1), "content": "two"})

        asked = desk_of_office.post(url("receive", lake), {"number": number(1), "content": "one"})

        vial = Vial.objects.get(pk=vials[0].pk)
        question = asked.context["question"]
        assert (question.vial, question.content) == (vial, "one")
        assert 'name="was" value="two"' in page_of(asked)
        assert vial.content == "two"

        answer = {"number": number(1), "content": "one", "was": "two"}
        changed = desk_of_office.post(url("receive", lake), answer, follow=True)
        assert message_tags(changed)[-1] == "success"
        assert changed.context["undo"].content == "two"
        assert 'name="was" value="one"' in page_of(changed)

        back = {"number": number(1), "content": "two", "was": "one"}
        desk_of_office.post(url("receive", lake), back)
        vial.refresh_from_db()
        assert vial.content == "two"
        assert list(vial.history.values_list("content", flat=True))[:3] == ["two", "one", "two"]

    def test_the_usual_content_stays_for_the_next_vial_and_the_rest_does_not(
        self, desk_of_office, lake, vials
    ):
        usual = desk_of_office.post(url("receive", lake), {"number": number(1), "content": "two"})
        rare = desk_of_office.post(url("receive", lake), {"number": number(2), "content": "broken"})

        assert usual.url.endswith("?inside=two")
        assert rare.url == url("receive", lake)

    def test_a_scan_by_the_script_is_answered_in_place(self, desk_of_office, lake, vials):
        usual, rare = (
            desk_of_office.post(
                url("receive", lake), {"number": number(place), "content": content}, headers=SCAN
            )
            for place, content in ((1, "two"), (2, "broken"))
        )

        assert [answer.status_code for answer in (usual, rare)] == [200, 200]
        assert [answer.context["form"]["content"].value() for answer in (usual, rare)] == [
            "two",
            "",
        ]
        assert [answer.context["undo_number"] for answer in (usual, rare)] == [number(1), number(2)]

    def test_says_when_and_by_whom_it_was_received_before(self, desk_of_office, lake, vials, clerk):
        services.receive(lake=lake, number=number(1), actor=clerk, now=NOW)

        answer = desk_of_office.post(url("receive", lake), {"number": number(1)}, follow=True)

        [told] = answer.context["messages"]
        assert message_tags(answer) == ["warning"]
        assert ("May 6, 2026" in told.message, "D. Marrable" in told.message) == (True, True)

    @pytest.mark.parametrize(
        ("typed", "code"),
        [
            ("26 0001 0", "wrong_check_digit"),
            ("crappie", "not_digits"),
            (number(900), "unknown"),
            (number(31), "other_lake"),
            (number(30), "void"),
            ("", "required"),
        ],
    )
    def test_says_what_is_wrong_with_a_number(
        self, desk_of_office, lake, other_lake, office, vials, typed, code
    ):
        make_vials(other_lake.seasons.get(), first=31, count=1, by=office)
        services.void_vials(lake=lake, first=number(30), last=number(30), actor=office, now=NOW)

        response = desk_of_office.post(url("receive", lake), {"number": typed})

        assert response.status_code == 422
        assert error_codes(response) == {"number": [code]}
        [field] = re.findall(r'<input[^>]*name="number"[^>]*>', page_of(response))
        assert (f'value="{typed}"' in field) == bool(typed)

    def test_names_who_logged_and_never_who_gave(self, desk_of_office, lake, vials, log_fish):
        fish = log_fish(vials[0])
        fish.donor.name = "Somebody Else"
        fish.donor.save()

        answer = desk_of_office.get(url("receive", lake))

        page = page_of(answer)
        assert answer.context["not_received"].total == 1
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

        with django_assert_max_num_queries(11):
            page = page_of(desk_of_office.get(url("receive", lake)))
        assert page.count('<th scope="row"') == 2 * many


class TestFind:
    def find(self, client, lake, typed):
        return client.get(url("find", lake), {"number": typed})

    def test_one_alone_is_opened_at_once(self, desk_of_office, lake, vials):
        answer = self.find(desk_of_office, lake, number(1))

        assert answer["Location"] == page_address(lake, number(1))

    def test_asks_which_where_several_end_alike(self, desk_of_office, lake, vials):
        answer = self.find(desk_of_office, lake, "2")

        assert len(answer.context["several"]) > 1
        assert page_address(lake, number(12)) in page_of(answer)

    @pytest.mark.parametrize(
        ("typed", "code"),
        [
            ("26 0001 0", "wrong_check_digit"),
            ("9999", "none_found"),
            (number(900), "none_found"),
            ("abc", "not_digits"),
            ("", "required"),
        ],
    )
    def test_says_what_is_wrong_with_a_number(self, desk_of_office, lake, vials, typed, code):
        assert_refused_at(self.find(desk_of_office, lake, typed), "number", code)

    @pytest.mark.parametrize("what", ["lost", "void"])
    def test_setting_aside_asks_why(self, desk_of_office, lake, vials, what):
        refused = desk_of_office.post(url("mark", lake, number(1)), {"what": what, "note": " "})

        assert_refused_at(refused, "note", "required")
        assert Vial.objects.get(number=number(1)).state == "issued"

    def test_a_void_vial_gets_no_new_label(self, desk_of_office, lake, vials):
        def offered():
            page = desk_of_office.get(page_address(lake, number(1))).context["page"]
            return [one.address for one in page.actions if "reprint" in one.address]

        assert len(offered()) == 1
        Vial.objects.filter(number=number(1)).update(state="void")
        assert offered() == []

    def test_lost_and_brought_back(self, desk_of_office, lake, vials):
        address = url("mark", lake, number(1))
        asked = desk_of_office.get(address, {"what": "lost"})
        lost = desk_of_office.post(address, {"what": "lost", "note": "boat"}, follow=True)
        after_lost = Vial.objects.get(number=number(1))
        back = desk_of_office.post(address, {"what": "back"}, follow=True)

        assert asked.status_code == 200
        assert (after_lost.state, after_lost.note) == ("lost", "boat")
        assert message_tags(lost) == message_tags(back) == ["success"]
        assert back.context["page"].vial.state == "issued"

    def test_asks_nothing_where_nothing_was_chosen(self, desk_of_office, lake, vials):
        answer = desk_of_office.get(url("mark", lake, number(1)), {"what": "burn"})

        assert answer["Location"] == page_address(lake, number(1))

    def test_a_number_is_not_made_void_without_a_reason(self, desk_of_office, lake, vials):
        response = desk_of_office.post(url("mark", lake, number(1)), {"what": "void", "note": " "})

        assert_refused_at(response, "note", "required")
        assert Vial.objects.get(number=number(1)).state == "issued"

    def test_a_vial_with_a_fish_is_not_made_void(self, desk_of_office, lake, vials, log_fish):
        log_fish(vials[0])

        response = desk_of_office.post(
            url("mark", lake, number(1)), {"what": "void", "note": "torn"}
        )

        assert_refused_at(response, "what", "logged")
        assert 'value="torn"' in page_of(response)
