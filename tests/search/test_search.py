"""The search box: what each role finds, what it does not, and at what cost."""

import re

import pytest
from django.utils.html import strip_tags

from samples.custody import services
from samples.models import LabelRun, Progress, SavedView, Vial
from samples.rules.vial_number import grouped, make
from tests.custody.rows import make_box, read
from tests.people import NOW, make_person, make_vials
from tests.targets.fish import make_fish

ADDRESS = "/lakes/lake-orrinbeck/search/"


@pytest.fixture
def search(client):
    def search_as(person, text, **how):
        client.force_login(person)
        return client.get(ADDRESS, {"q": text}, **how)

    return search_as


def found(answer):
    """Return the hits of each kind, by its heading."""
    assert answer.status_code == 200
    page = answer.content.decode()
    parts = re.findall(r'<h2 id="hits-\d+">(.*?)</h2>(.*?)</section>', page, re.DOTALL)
    return {head: re.findall(r'<li><p><a href="[^"]*">(.*?)</a>', part) for head, part in parts}


def words_of(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


class TestVials:
    def test_the_whole_number_opens_the_vial(self, search, office, vials):
        answer = search(office, grouped(vials[11].number))

        expected = f"/lakes/lake-orrinbeck/vials/{vials[11].number}/"
        assert answer["Location"] == expected

    def test_last_digits_that_only_one_has_open_it(self, search, office, vials):
        answer = search(office, vials[11].number[-4:])

        assert answer["Location"] == f"/lakes/lake-orrinbeck/vials/{vials[11].number}/"

    def test_the_office_reads_whence_the_fish_came_and_a_reader_does_not(
        self, search, office, reader, party, white, vials
    ):
        make_fish(party, white, 10.2, vial=vials[11])

        of_office, of_reader = (
            words_of(search(one, vials[11].number[-1:])) for one in (office, reader)
        )

        assert ("Brindle" in of_office, "Brindle" in of_reader) == (True, False)

    def test_a_reader_is_led_to_the_row_of_the_reading_grid(self, search, reader, vials):
        answer = search(reader, vials[11].number)

        number = vials[11].number
        expected = f"/lakes/lake-orrinbeck/reading/?show=all&vial={number}#row-{number}"
        assert answer["Location"] == expected

    @pytest.mark.parametrize("digits", ["12", "0012", "012"])
    def test_last_digits_without_the_check_digit(self, search, office, vials, digits):
        answer = search(office, digits)

        assert answer["Location"] == f"/lakes/lake-orrinbeck/vials/{vials[11].number}/"

    def test_a_number_of_another_lake_is_not_there(self, search, office, vials, other_lake):
        there = make_vials(other_lake.seasons.get(), first=31, count=1, by=office)[0]

        assert found(search(office, there.number)) == {}

    def test_a_wrong_check_digit_is_said(self, search, office, vials):
        wrong = vials[11].number[:-1] + str((int(vials[11].number[-1]) + 1) % 10)

        answer = search(office, wrong)

        assert answer.context["problem"] != ""
        assert answer.context["problem"] in words_of(answer)

    def test_a_long_list_says_that_there_may_be_more(self, search, office, season, vials):
        make_vials(season, first=31, count=90, by=office)
        answer = search(office, "1")

        assert len(found(answer)["Vials"]) == 10
        assert [group.is_cut_off for group in answer.context["groups"]] == [True]

    def test_vials_are_asked_for_by_whole_numbers(
        self, search, client, office, vials, django_assert_max_num_queries
    ):
        search(office, "012")
        with django_assert_max_num_queries(12) as asked:
            client.get(ADDRESS, {"q": "012"})

        of_vials = [one["sql"] for one in asked if 'FROM "samples_vial"' in one["sql"]]
        assert of_vials
        assert [sql for sql in of_vials if re.search("LIKE|REGEXP", sql)] == []


class TestFishAndPeople:
    @pytest.fixture
    def logged(self, vials, party, white):
        return make_fish(party, white, 10.2, vial=vials[11], tag_number="OB-1")

    def test_the_biologist_finds_the_fish_of_a_vial_and_no_length(
        self, search, biologist, vials, logged
    ):
        answer = search(biologist, vials[11].number[-4:])

        [label] = found(answer)["Fish"]
        assert label.endswith(f" {grouped(vials[11].number)}")
        assert "10.2" not in words_of(answer)

    def test_a_tag_number_leads_to_its_fish_and_to_no_length(
        self, search, biologist, party, white, vials
    ):
        make_fish(party, white, 10.2, vial=vials[11], tag_number="OB-1043")
        make_fish(party, white, 10.3, tag_number="OB-1044", progress=Progress.MEASURED)

        answer = search(biologist, "ob-104")

        assert found(answer)["Fish"] == ["Tag OB-1043", "Tag OB-1044"]
        assert f"/vials/{vials[11].number}/" in answer.content.decode()
        assert "10.2" not in words_of(answer)

    def test_saved_views_are_found_by_whom_they_are_for(self, search, biologist, lake, office):
        for name, person in (("Hobbin females", biologist), ("Hobbin all", None), ("X", None)):
            SavedView.objects.create(
                lake=lake, person=person, name=name, path=f"/lakes/{lake.slug}/coverage/"
            )
        other = make_person(lake, "biologist", "S. Second")

        of_each = [
            found(search(one, "hob")).get("Saved views") for one in (biologist, other, office)
        ]

        assert of_each == [["Hobbin all", "Hobbin females"], ["Hobbin all"], None]

    def test_species_and_arms_lead_to_their_fish(self, search, biologist, client):
        assert found(search(biologist, "hob"))["Fish"] == ["Hobbin"]
        assert found(search(biologist, "white"))["Fish"] == ["White crappie"]
        page = search(biologist, "white").content.decode()
        assert client.get("/lakes/lake-orrinbeck/fish/?species=white-crappie").status_code == 200
        assert 'href="/lakes/lake-orrinbeck/fish/?species=white-crappie"' in page

    def test_the_biologist_finds_people_of_the_lake_alone(self, search, biologist, guide, stranger):
        assert found(search(biologist, "ostrow"))["People"] == ["R. Ostrow"]
        assert found(search(biologist, "quill")) == {}

    @pytest.mark.django_db
    @pytest.mark.parametrize("role", ["office", "reader"])
    @pytest.mark.parametrize("text", ["ostrow", "white", "brindle", "OB-1"])
    def test_others_find_neither_people_nor_fish(self, search, request, role, text, guide, logged):
        assert found(search(request.getfixturevalue(role), text)) == {}

    @pytest.mark.django_db
    @pytest.mark.parametrize("role", ["office", "reader"])
    def test_a_vials_digits_give_others_no_fish(self, search, request, role, vials, logged):
        shown = found(search(request.getfixturevalue(role), vials[11].number[-1:]))

        assert grouped(vials[11].number) in shown["Vials"]
        assert shown.keys() == {"Vials"}


class TestPages:
    def test_by_the_beginnings_of_words(self, search, biologist):
        assert found(search(biologist, "reg"))["Pages"] == ["Regulations"]
        assert found(search(biologist, "age key"))["Pages"] == ["Age-length key"]

    def test_only_those_that_the_person_may_open(self, search, reader):
        assert found(search(reader, "read o"))["Pages"] == ["Read otoliths"]
        assert found(search(reader, "labels")) == {}

    def test_nothing_found_says_what_can_be_typed(self, search, reader):
        answer = search(reader, "<zzz>")

        assert (answer.context["total"], found(answer)) == (0, {})
        assert (answer.context["may_see_fish"], answer.context["may_see_people"]) == (False, False)
        assert "&lt;zzz&gt;" in words_of(answer)

    @pytest.mark.parametrize("text", ["", "   ", "\x00", "1" * 300, "'; --", "%", "_"])
    def test_nonsense_finds_nothing_and_fails_nowhere(self, search, office, vials, text):
        assert found(search(office, text)) == {}


def test_a_guide_has_no_search(search, guide):
    assert search(guide, "12").status_code == 403


def test_every_staff_page_has_the_box_and_it_keeps_what_was_typed(search, client, office):
    page = search(office, "hobbin").content.decode()

    assert page.count('name="q" value="hobbin"') == 3
    assert f'action="{ADDRESS}"' in client.get("/account/").content.decode()


def test_numbers_of_every_run_and_year_are_found(search, lake, season, office):
    """Two runs of one year, and a year with wider numbers before it."""
    make_vials(season, first=1, count=3, by=office)
    make_vials(season, first=101, count=3, by=office)
    person = make_person(lake, "office", "W. Older")

    assert LabelRun.objects.count() == 2
    assert found(search(person, "02"))["Vials"] == [
        grouped(make(2026, 102, 4)),
        grouped(make(2026, 2, 4)),
    ]
    assert Vial.objects.count() == 6


class TestArchive:
    def test_a_vial_is_found_with_its_box_and_slot(self, search, lake, office, vials):
        read(vials[:1], office)
        services.put_in_box(
            box=make_box(lake, office), number=vials[0].number, actor=office, now=NOW
        )

        groups = search(office, vials[0].number[-1:]).context["groups"]

        details = {hit.label: hit.detail for group in groups for hit in group.hits}
        assert {"26-04,", "A1,"} <= set(details[grouped(vials[0].number)].split())

    @pytest.mark.parametrize("text", ["26-0", "26-04"])
    def test_a_box_is_found_by_its_name(self, search, lake, office, text):
        box = make_box(lake, office, place="Cabinet 2")

        [group] = search(office, text).context["groups"]

        assert [(hit.detail, hit.address) for hit in group.hits] == [
            ("Cabinet 2", f"/lakes/lake-orrinbeck/archive/{box.pk}/")
        ]

    def test_a_reader_is_shown_no_box(self, search, lake, office, reader):
        make_box(lake, office)

        assert found(search(reader, "26-04")) == {}
