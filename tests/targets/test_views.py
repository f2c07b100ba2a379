"""The pages of coverage, its fish and its targets, as each person meets them."""

import csv
import io
import re
from datetime import date
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from samples.models import Fish, Lake, Progress, Season
from tests.people import INCH, make_person
from tests.shown import error_codes
from tests.targets.fish import make_fish
from tests.targets.pages import text, want


def cells(answer):
    """Return the text of a page with a space between one cell and the next."""
    return " ".join(strip_tags(answer.content.decode().replace("<", " <")).split())


NAMES = ["targets:coverage", "targets:coverage_csv", "targets:fish", "targets:targets"]


@pytest.mark.django_db
class TestWhoMay:
    @pytest.mark.parametrize("name", NAMES)
    @pytest.mark.parametrize("who", ["guide", "clerk", "office", "reader"])
    def test_other_roles_are_told_it_is_not_theirs(self, client, lake, name, who, request):
        client.force_login(
            request.getfixturevalue(who), backend="django.contrib.auth.backends.ModelBackend"
        )

        assert client.get(reverse(name, args=[lake.slug])).status_code == 403

    @pytest.mark.parametrize("name", NAMES)
    def test_a_stranger_finds_no_such_page(self, client, lake, name, stranger):
        client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")

        assert client.get(reverse(name, args=[lake.slug])).status_code == 404

    def test_strangers_set_no_targets(self, client, lake, stranger):
        client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")

        answer = client.post(reverse("targets:targets", args=[lake.slug]), {})

        assert answer.status_code == 404


@pytest.mark.django_db
class TestCoverage:
    def test_draws_a_ring_for_each_fish_and_says_the_cell(
        self, page, party, white, season, brindle
    ):
        want(season, white, 10, 3, brindle)
        make_fish(party, white, 10.2)
        make_fish(party, white, 10.4, progress=Progress.RECEIVED)

        answer = page("coverage")

        assert answer.status_code == 200
        assert "<h1>1 " in answer.content.decode()
        assert "Brindle, 10.0 to 10.9 in: 1 of 3 aged, 2 short, 1 in hand" in text(answer)
        row = answer.content.decode().split("<tbody>")[1].split("</tbody>")[0]
        assert re.findall(r'class="ring ring-(\w+)', row) == ["missing", "hand", "aged"]

    def test_leads_from_a_cell_to_its_fish(self, page, party, white, client):
        make_fish(party, white, 10.2)
        make_fish(party, white, 10.9, progress=Progress.LOGGED)
        make_fish(party, white, 10.9, progress=Progress.MEASURED)
        make_fish(party, white, 11.0)

        cell = page("coverage", sex="F").context["coverage"].cells[0]
        listed = client.get(cell.address)

        assert cell.counted == 1
        assert "1 fish" in text(listed)
        assert "count=logged" in listed.content.decode()
        assert "2 fish" in text(client.get(cell.address.replace("count=aged", "count=logged")))

    def test_a_cell_without_fish_leads_nowhere(self, page, party, white, season, brindle):
        want(season, white, 10, 3, brindle)
        want(season, white, 11, 3, brindle)
        make_fish(party, white, 10.2, progress=Progress.LOGGED)

        answer = page("coverage")

        links = re.findall(r'<a class="cell-face" id="([\w-]+)"', answer.content.decode())
        assert links == [f"cell-{brindle.pk}-{10 * INCH}"]

    def test_a_cell_whose_fish_do_not_count_yet_leads_to_them(
        self, page, party, white, season, brindle, client
    ):
        want(season, white, 10, 3, brindle)
        make_fish(party, white, 10.2, progress=Progress.LOGGED)

        cell = page("coverage").context["coverage"].cells[0]

        assert len(client.get(cell.address).context["lines"]) == 1

    @pytest.mark.parametrize("progress", [Progress.LOGGED, Progress.AGED])
    def test_fish_of_a_cell_lead_back_to_it(self, page, party, white, brindle, client, progress):
        make_fish(party, white, 10.2, progress=progress)
        cell = page("coverage", sex="F", bin="half").context["coverage"].cells[0]

        back = urlsplit(client.get(cell.address).context["coverage_address"])

        assert back.fragment == cell.anchor
        assert parse_qs(back.query) == {
            "season": ["2026"],
            "species": [white.code],
            "count": ["aged"],
            "sex": ["F"],
            "bin": ["half"],
        }

    @pytest.mark.parametrize("count", ["aged", "received", "logged"])
    def test_a_cell_opens_as_many_fish_as_it_counts(self, page, party, white, client, count):
        make_fish(party, white, 10.2)
        make_fish(party, white, 10.4, progress=Progress.RECEIVED)
        make_fish(party, white, 10.9, progress=Progress.LOGGED)

        cell = page("coverage", count=count).context["coverage"].cells[0]

        assert f"{cell.counted} fish" in text(client.get(cell.address))

    @pytest.mark.parametrize(
        ("query", "n"),
        [
            ({}, 3),
            ({"sex": "M"}, 1),
            ({"method": "trap_net"}, 1),
            ({"reach": "Lower"}, 1),
            ({"reach": "not noted"}, 2),
            ({"count": "logged"}, 4),
            ({"species": "black-crappie"}, 1),
            ({"season": "2025"}, 0),
        ],
    )
    def test_filters_stand_in_the_address(self, page, party, lake, white, black, query, n):
        Season.objects.create(
            lake=lake,
            name="2025",
            number_year=2025,
            starts_on=date(2025, 1, 1),
            ends_on=date(2025, 12, 31),
        )
        make_fish(party, white, 10.2, sex="M")
        make_fish(party, white, 10.2, method="trap_net")
        make_fish(party, white, 10.2, reach=party.arm.reaches.get(name="Lower"))
        make_fish(party, white, 10.2, progress=Progress.LOGGED)
        make_fish(party, black, 10.2)

        assert page("coverage", **query).context["coverage"].counted == n

    def test_half_bins_are_offered(self, page, party, white):
        make_fish(party, white, 10.2)
        make_fish(party, white, 10.6)

        assert "10.0- 10.4" in text(page("coverage", bin="half")).replace("10.0-10.4", "10.0- 10.4")

    def test_bins_without_targets_lead_to_those_with(self, page, party, white, season, brindle):
        want(season, white, 10, 3, brindle)
        make_fish(party, white, 10.2)

        answer = page("coverage", bin="half", count="logged")

        assert 'href="?bin=own&amp;count=logged"' in answer.content.decode()

    def test_a_choice_that_is_none_is_said_beside_its_field(self, page, party, white):
        make_fish(party, white, 10.2)

        answer = page("coverage", method="dynamite")

        assert error_codes(answer) == {"method": ["invalid_choice"]}
        assert answer.context["coverage"].counted == 1

    @pytest.mark.parametrize(
        "query", [{"sex": "F"}, {"method": "angler_kept"}, {"reach": "not noted"}]
    )
    def test_a_slice_is_counted_and_held_against_no_target(
        self, page, party, white, season, brindle, query
    ):
        want(season, white, 10, 5, brindle)
        want(season, white, 10, 20)
        make_fish(party, white, 10.2, count=2)

        answer = page("coverage", count="logged", **query)

        assert "<h1>2 " in answer.content.decode()
        assert 'href="?count=logged"' in answer.content.decode()
        table = answer.content.decode().split("<tbody>")[1].split("</table>")[0]
        assert re.findall(r"\bshort\b|\d/\d", table) == []
        assert answer.context["needed_rows"] == []
        lines = csv.DictReader(io.StringIO(page("coverage_csv", **query).content.decode()))
        assert {line["wanted"] + line["short"] for line in lines} == {""}

    def test_the_total_is_the_sum_of_the_parts_beside_it(self, page, party, white, season, brindle):
        want(season, white, 10, 20)
        want(season, white, 12, 2)
        want(season, white, 12, 6, brindle)
        make_fish(party, white, 10.2, count=15)
        make_fish(party, white, 10.2, count=2, progress=Progress.RECEIVED)

        answer = page("coverage")

        assert "<h1>9 " in answer.content.decode()
        parts = [(one.sign, one.number) for one in answer.context["parts"]]
        assert parts == [("", 7), ("+", 4), ("\u2212", 2), ("=", 9)]
        assert all(one.label in cells(answer) for one in answer.context["parts"])

    def test_a_closed_season_wants_nothing(self, page, party, white, season, brindle):
        want(season, white, 10, 5, brindle)
        want(season, white, 10, 20)
        make_fish(party, white, 10.2, count=2)
        make_fish(party, white, 10.2, progress=Progress.RECEIVED)
        Season.objects.update(starts_on=date(2020, 1, 1), ends_on=date(2020, 10, 31))

        answer = page("coverage")

        shown = text(answer)
        assert "October 31, 2020" in shown
        assert "2 of 20 fish" in shown
        assert "to collect" not in shown
        assert answer.context["needed_rows"] == []

    def test_lengths_that_an_arm_hardly_has_are_not_asked_for(
        self, page, party, white, season, lake, brindle
    ):
        cutbank = lake.arms.get(name="Cutbank")
        for arm in (brindle, cutbank):
            want(season, white, 13, 3, arm)
        make_fish(party, white, 9.2, arm=brindle, count=201, progress=Progress.MEASURED)
        make_fish(party, white, 13.5, arm=brindle, count=2, progress=Progress.MEASURED)
        make_fish(party, white, 9.2, arm=cutbank, count=201, progress=Progress.MEASURED)
        make_fish(party, white, 13.5, arm=cutbank, count=3, progress=Progress.MEASURED)

        answer = page("coverage")

        assert "<h1>6 " in answer.content.decode()
        asked, hardly = answer.context["needed_rows"]
        assert (asked.ask.place, asked.ask.bin, asked.is_asked) == ("Cutbank", "13.0-13.9 in", True)
        assert (hardly.ask.place, hardly.is_asked) == ("Brindle", False)
        assert [row.chance for row in (asked, hardly)] == ["1 in 68", "1 in 102"]
        assert "2 of 203" in hardly.why
        [guides] = answer.context["asked_by_arm"]
        assert (guides.arm, [run["more"] for run in guides.lengths]) == ("Cutbank", [3])

    def test_few_measured_fish_of_an_arm_leave_no_length_out(
        self, page, party, white, season, brindle
    ):
        want(season, white, 13, 3, brindle)
        make_fish(party, white, 9.2, count=99, progress=Progress.MEASURED)

        answer = page("coverage")

        [row] = answer.context["needed_rows"]
        assert (row.ask.place, row.is_asked, row.chance) == ("Brindle", True, "\u2013")

    def test_a_long_list_shows_its_first_rows_until_all_are_asked_for(
        self, page, party, white, season, brindle
    ):
        for inches in range(4, 14):
            want(season, white, inches, inches, brindle)

        answer = page("coverage")

        shown = answer.content.decode()
        assert len(answer.context["needed_rows"]) == 10
        assert shown.count("needed-rest") == 2
        assert answer.context["needed_rows"][0].bar == 60
        assert "needed-all" in shown

    def test_says_first_what_to_do_where_nothing_is(self, page, lake):
        answer = page("coverage")

        assert "Set targets" in text(answer)
        assert answer.content.decode().count("button-next") == 1

    def test_says_what_a_new_lake_needs(self, client, db):
        lake = Lake.objects.create(name="Bare Pond", slug="bare-pond")
        somebody = make_person(lake, "biologist", "A. Nother")
        client.force_login(somebody, backend="django.contrib.auth.backends.ModelBackend")

        for name in ("coverage", "targets"):
            answer = client.get(reverse(f"targets:{name}", args=[lake.slug]))
            assert 'class="empty"' in answer.content.decode()
        assert client.get(reverse("targets:coverage_csv", args=[lake.slug])).status_code == 302
        assert client.get(reverse("targets:fish", args=[lake.slug])).status_code == 200

    def test_asks_as_often_for_many_fish_as_for_one(
        self, page, party, white, season, lake, django_assert_max_num_queries
    ):
        for arm in lake.arms.all():
            want(season, white, 10, 2, arm)
            make_fish(party, white, 10.2, arm=arm, count=40)

        with django_assert_max_num_queries(12):
            page("coverage")

    def test_never_shows_the_fish_of_another_lake(self, page, party, white, other_lake):
        make_fish(party, white, 10.2)
        Fish.objects.update(lake=other_lake)

        assert page("coverage").context["coverage"].counted == 0


@pytest.mark.django_db
class TestFish:
    def test_says_all_of_a_fish(self, page, party, white, vials):
        make_fish(party, white, 10.2, vial=vials[0], progress=Progress.ONE_READER)

        shown = text(page("fish"))

        for words in ("26 0001", "10.2", "Aged, one reader", "Female", "Brindle", "May 6, 2026",
                      "Angler kept", "R. Ostrow"):  # fmt: skip
            assert words in shown

    def test_leads_to_the_page_of_a_vial(self, page, lake, party, white, vials):
        make_fish(party, white, 10.2, vial=vials[0])

        assert f"/lakes/{lake.slug}/vials/{vials[0].number}/" in page("fish").content.decode()

    @pytest.mark.parametrize(
        ("query", "n"),
        [
            ({"from": "10.0", "below": "11.0"}, 2),
            ({"from": "254 mm"}, 3),
            ({"below": "10"}, 1),
            ({"count": "aged"}, 2),
            ({"sex": "M"}, 1),
            ({"species": "black-crappie"}, 1),
            ({"season": "2026"}, 4),
        ],
    )
    def test_is_narrowed_down(self, page, party, white, black, query, n):
        make_fish(party, white, 9.9, progress=Progress.LOGGED)
        make_fish(party, white, 10.0)
        make_fish(party, white, 10.9, sex="M", progress=Progress.RECEIVED)
        make_fish(party, black, 11.0)

        assert page("fish", **query).context["page"].paginator.count == n

    def test_keeps_a_length_that_cannot_be_read_and_says_so(self, page, lake):
        answer = page("fish", **{"from": "ten"})

        assert error_codes(answer) == {"from": ["not_a_length"]}
        assert 'value="ten"' in answer.content.decode()

    def test_leaves_withdrawn_fish_out(self, page, party, white):
        make_fish(party, white, 10.2, withdrawn=True)

        assert "0 fish" in text(page("fish"))

    @pytest.mark.parametrize("count", [1, 50])
    def test_asks_as_often_for_fifty_as_for_one(
        self, page, party, white, count, django_assert_num_queries
    ):
        make_fish(party, white, 10.2, count=count)

        with django_assert_num_queries(9):
            page("fish")

    def test_is_cut_into_pages_that_keep_the_choice(self, page, party, white):
        make_fish(party, white, 10.2, count=60)

        first = page("fish", sex="F")

        assert "?sex=F&amp;page=2" in first.content.decode()
        assert len(page("fish", sex="F", page="2").context["lines"]) == 10


def test_a_percent_sign_in_the_name_of_the_lake_breaks_no_filter(client, biologist, lake):
    lake.name = "50% Lake %s %(value)s"
    lake.save()
    client.force_login(biologist)

    for address in ("coverage", "fish", "findings/sizes"):
        page = client.get(f"/lakes/lake-orrinbeck/{address}/", {"species": "no such", "arm": "x"})

        assert "50% Lake %s %(value)s." in page.content.decode()
