"""Pages where trays and boxes are filled by scanning, without a script."""

from datetime import timedelta

import pytest
from django.urls import reverse

from samples.custody import services
from samples.custody.rules import Medium
from samples.models import ClearingTray
from tests.custody.rows import make_tray, receive
from tests.people import CAUGHT_ON, NOW, make_vials
from tests.shown import error_codes, message_tags
from tests.vials.numbers import number


def url(name, lake, *more):
    return reverse(f"custody:{name}", args=[lake.slug, *more])


class TestTrays:
    def start(self, desk, lake, **changes):
        asked = {"name": "C-15", "medium": "0-whole", "started_on": "", "size": "50"}
        return desk.post(url("trays", lake), asked | changes)

    @pytest.fixture
    def today(self, desk, lake):
        return desk.get(url("trays", lake)).context["today"]

    def test_a_tray_is_started_with_the_labs_own_medium(self, desk, lake, white, today, office):
        services.set_medium(
            lake=lake,
            species=white,
            preparation="whole",
            medium=Medium(1, 1, 7, 20),
            actor=office,
            now=NOW,
        )

        self.start(desk, lake, medium=f"{white.pk}-whole", started_on=str(today))

        tray = ClearingTray.objects.get()
        assert (tray.species, tray.glycerin_parts, tray.ethanol_parts) == (white, 1, 1)
        assert (tray.ready_on, tray.rinse_by) == (
            today + timedelta(days=7),
            today + timedelta(days=20),
        )

    @pytest.mark.parametrize(
        ("changed", "field", "code"),
        [
            ({"name": ""}, "name", "required"),
            ({"name": "c-14"}, "name", "tray_in_use"),
            ({"medium": "9-whole"}, "medium", "invalid_choice"),
            ({"started_on": "soon"}, "started_on", "invalid"),
            ({"started_on": "1990-01-01"}, "started_on", "not_the_day"),
            ({"size": "0"}, "size", "min_value"),
            ({"size": "many"}, "size", "invalid"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(
        self, desk, lake, tray, today, changed, field, code
    ):
        response = self.start(desk, lake, **{"started_on": str(today)} | changed)

        assert response.status_code == 422
        assert error_codes(response) == {field: [code]}
        assert ClearingTray.objects.count() == 1

    @pytest.mark.parametrize("many", [1, 12])
    def test_asks_no_more_for_more_trays(
        self, desk, lake, office, vials, django_assert_max_num_queries, many
    ):
        for place in range(many):
            make_tray(lake, office, name=f"T{place}")

        with django_assert_max_num_queries(10):
            desk.get(url("trays", lake))


class TestTray:
    def scan(self, desk, lake, tray, **typed):
        return desk.post(url("tray", lake, tray.pk), typed, follow=True)

    def test_scan_after_scan_with_a_tally_of_the_guide(
        self, desk, lake, tray, vials, office, guide
    ):
        receive(vials[:5], office, issued_to=guide)

        for place in (1, 2):
            page = self.scan(desk, lake, tray, number=f"http://testserver/V/{number(place)}")

        tally = page.context["tally"]
        assert message_tags(page) == ["success"]
        assert (tally.count, tally.expected) == (2, 5)
        assert tally.missing == [number(3), number(4), number(5)]

    def test_what_is_refused_stands_beside_the_field_with_its_remedy(
        self, desk, lake, tray, vials, office
    ):
        other = make_tray(lake, office, name="C-12")
        receive(vials[:1], office)
        self.scan(desk, lake, other, number=number(1))

        page = self.scan(desk, lake, tray, number="0001")
        assert page.status_code == 422
        assert error_codes(page) == {"number": ["other_tray"]}
        assert 'value="0001"' in page.content.decode()
        assert reverse("search:vial", args=[lake.slug, number(1)]) in page.content.decode()

        moved = self.scan(desk, lake, tray, number=number(1), move="1")
        assert message_tags(moved) == ["success"]
        assert tray.filled.count() == 1

    def test_digits_of_several_vials_are_chosen_with_a_button(
        self, desk, lake, tray, vials, season, office
    ):
        made = make_vials(season, first=18, count=1, by=office)
        receive([vials[0], *made], office)

        page = self.scan(desk, lake, tray, number="0018")

        assert error_codes(page) == {"number": ["several"]}
        for choice in (number(1), number(18)):
            assert f'name="number" value="{choice}"' in page.content.decode()

    @pytest.mark.parametrize("typed", ["", "abc", "http://elsewhere.example/V/26000018"])
    def test_nonsense_is_answered_and_kept_in_the_field(self, desk, lake, tray, typed):
        page = self.scan(desk, lake, tray, number=typed)

        assert page.status_code == 422
        assert list(error_codes(page)) == ["number"]

    def test_undo_takes_the_last_scan_back(self, desk, lake, tray, vials, office):
        receive(vials[:2], office)
        self.scan(desk, lake, tray, number=number(1))
        page = self.scan(desk, lake, tray, number=number(2))
        assert f'name="undo" value="{number(2)}"' in page.content.decode()

        tags = [
            message_tags(self.scan(desk, lake, tray, undo=number(place))) for place in (2, 2, 1, 1)
        ]

        assert [one.split()[0] for [one] in tags] == [
            "success",
            "not_the_last",
            "success",
            "nothing_to_undo",
        ]

    def test_ready_before_its_day_is_asked_about_first(self, desk, lake, tray, vials, office):
        receive(vials[:2], office)
        ClearingTray.objects.update(ready_on=NOW.date() + timedelta(days=4000), rinse_by=None)
        tray.refresh_from_db()
        self.scan(desk, lake, tray, number=number(1))
        finish = url("finish_tray", lake, tray.pk)
        asked = desk.post(finish, {"what": "ready"}, follow=True)
        assert asked.context["early"] == "ready"

        # A scan into the page that asks is a scan into the tray.
        address = asked.wsgi_request.get_full_path()
        desk.post(address, {"number": number(2)})
        assert desk.get(address).context["early"] == "ready"
        desk.post(finish, {"what": "ready", "early": "1"})
        assert [one.vial.state for one in tray.filled.all()] == ["ready", "ready"]
        assert desk.get(address).context["early"] == ""

    def test_rinsed_too_late_is_warned_about_on_both_pages(self, desk, lake, office, vials):
        tray = make_tray(
            lake,
            office,
            started_on=CAUGHT_ON - timedelta(days=60),
            ready_on=CAUGHT_ON - timedelta(days=50),
            rinse_by=CAUGHT_ON - timedelta(days=32),
        )
        receive(vials[:1], office)
        self.scan(desk, lake, tray, number=number(1))

        [row] = desk.get(url("trays", lake)).context["rows"]
        assert (row.is_over, row.next_step) == (True, "dry")
        assert desk.get(url("tray", lake, tray.pk)).context["row"].is_over

        desk.post(url("finish_tray", lake, tray.pk), {"what": "dry", "early": "1"})
        assert desk.get(url("trays", lake)).context["rows"] == []

    def test_a_tray_of_another_lake_is_none_of_this_one(self, desk, lake, other_lake, stranger):
        theirs = make_tray(other_lake, stranger)

        assert desk.get(url("tray", lake, theirs.pk)).status_code == 404

    @pytest.mark.parametrize("many", [1, 8])
    def test_a_page_asks_no_more_for_a_fuller_tray(
        self, desk, lake, tray, vials, office, django_assert_max_num_queries, many
    ):
        receive(vials[:many], office)
        for place in range(1, many + 1):
            self.scan(desk, lake, tray, number=number(place))

        with django_assert_max_num_queries(12):
            desk.get(url("tray", lake, tray.pk))


class TestMedia:
    ASKED = {
        "preparation": "section",
        "species": "",
        "glycerin_parts": "1",
        "ethanol_parts": "1",
        "ready_after_days": "5",
        "rinse_within_days": "20",
    }

    def test_a_medium_is_set_and_removed(self, desk, lake):
        page = desk.post(url("media", lake), self.ASKED, follow=True)
        assert message_tags(page) == ["success"]
        row = lake.clearing_media.get()

        desk.post(url("media", lake), {"remove": row.pk})
        assert not lake.clearing_media.exists()

    @pytest.mark.parametrize(
        ("changed", "field", "code"),
        [
            ({"ethanol_parts": "21"}, "ethanol_parts", "max_value"),
            ({"glycerin_parts": ""}, "glycerin_parts", "required"),
            ({"rinse_within_days": "4"}, "rinse_within_days", "before_ready"),
            ({"preparation": "boiled"}, "preparation", "invalid_choice"),
            ({"species": "999999"}, "species", "invalid_choice"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, desk, lake, changed, field, code):
        response = desk.post(url("media", lake), self.ASKED | changed)

        assert response.status_code == 422
        assert error_codes(response) == {field: [code]}

    @pytest.mark.parametrize("typed", ["", "x", "12345678901"])
    def test_removing_what_is_gone_is_answered_in_words(self, desk, lake, typed):
        page = desk.post(url("media", lake), {"remove": typed}, follow=True)

        assert message_tags(page) == ["gone error"]
