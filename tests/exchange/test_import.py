"""A spreadsheet of fish comes in whole or not at all, and says why not, row by row."""

import pytest
from django.core.management import CommandError, call_command

from samples.models import AgeAsGiven, Fish, Lake, Party, Species
from samples.models.fish import Progress
from tests.open_data import FISH, each_set_of_bass


@pytest.fixture
def bass(db):
    return Species.objects.create(
        code="smallmouth-bass",
        name="Smallmouth bass",
        short_name="Smallmouth",
        plausible_min_hundredths_mm=4000,
        plausible_max_hundredths_mm=60000,
        plausible_max_age_years=20,
    )


GOOD = """Species,Length (in),Sex,Arm,Date,Age,Weather
White crappie,9.4,F,Brindle,2026-05-06,3,
Black crappie,10.1,male,Cutbank,6 May 2026,,seen by two
White crappie,8.0,,Brindle,2026-05-06,2,
"""


class TestImport:
    def test_shows_what_it_would_do_and_writes_nothing(self, lake, biologist, bring_in):
        said = bring_in(GOOD)

        report = said.report
        assert (report.rows, report.logged, report.parties, report.ages) == (3, 3, 2, 2)
        assert report.not_used == ("Weather",)
        assert not said.was_refused
        assert not Fish.objects.exists()
        assert not Party.objects.exists()

    def test_commit_writes_all_rows_and_ages_apart_from_readings(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit", "--structure", "otolith")

        fish = Fish.objects.order_by("length_hundredths_mm")
        assert [one.length_as_measured for one in fish] == ["8.0", "9.4", "10.1"]
        given = Progress.AGE_AS_GIVEN
        assert [one.progress for one in fish] == [given, given, Progress.MEASURED]
        assert set(AgeAsGiven.objects.values_list("age_years", "structure", "source")) == {
            (3, "otolith", "fish.csv"),
            (2, "otolith", "fish.csv"),
        }
        assert all(one.logged_by == biologist for one in fish)

    def test_is_safe_to_repeat(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        said = bring_in(GOOD, "--commit")

        assert (said.report.logged, said.report.already) == (0, 3)
        assert (Fish.objects.count(), AgeAsGiven.objects.count()) == (3, 2)

    @pytest.mark.parametrize("name", ["Orrinbeck", "Lake Orinbeck", "lake orrinbeck."])
    def test_a_name_that_is_nearly_a_lakes_is_asked_about(self, lake, biologist, bring_in, name):
        asked = bring_in(GOOD, "--commit", lake=name)
        answered = bring_in(GOOD, "--new-lake", lake=name)

        assert asked.code == "near_name"
        assert '--lake "Lake Orrinbeck"' in asked.text
        assert answered.report.new_lake
        assert Lake.objects.count() == 1

    def test_a_name_of_its_own_is_a_new_lake(self, lake, biologist, bring_in):
        assert bring_in(GOOD, lake="Tamsin Reservoir").report.new_lake

    def test_a_file_that_was_renamed_and_grew_goes_on_where_it_stood(
        self, lake, biologist, bring_in
    ):
        rows = GOOD + "White crappie,9.9,,Hobbin,2026-05-07,,\n" * 3
        one_more = "White crappie,7.7,,Brindle,2026-05-06,2,\n"
        bring_in(rows, "--commit")

        grown = bring_in(rows + one_more, "--commit", "--same-as", "fish.csv", name="final.csv")

        assert grown.report.logged == 1
        assert Fish.objects.count() == 7

    def test_next_years_file_of_the_same_name_is_other_fish(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        said = bring_in(GOOD, "--season", "2027", "--commit")

        assert said.report.logged == 3
        seasons = Fish.objects.values_list("season__number_year", flat=True)
        assert sorted(seasons) == [2026] * 3 + [2027] * 3

    def test_a_biologist_of_another_lake_brings_nothing_in_here(
        self, lake, biologist, stranger, bring_in
    ):
        said = bring_in(GOOD, "--by", stranger.username, "--commit")

        assert said.code == "no_biologist"
        assert not Fish.objects.exists()
        assert not stranger.memberships.filter(lake=lake).exists()

    def test_two_equal_rows_are_two_fish(self, lake, biologist, bring_in):
        row = "White crappie,9.4,F,Brindle,2026-05-06,3,\n"

        bring_in(GOOD.split("\n")[0] + "\n" + row + row, "--commit")

        assert Fish.objects.count() == 2

    def test_vials_are_claimed_by_the_same_rules_as_at_the_ramp(
        self, lake, biologist, vials, bring_in
    ):
        head = "vial,species,length_in,arm\n"
        rows = [f"{number},White crappie,9.4,Brindle" for number in ("26 0001 8", "2600026")]

        bring_in(head + "\n".join(rows), "--commit")
        said = bring_in(head + "2600018,White crappie,7.0,Brindle", "--commit", name="again.csv")

        assert {fish.vial.number for fish in Fish.objects.all()} == {"2600018", "2600026"}
        assert said.bad == [(2, "vial", "2600018")]

    def test_one_bad_row_keeps_all_out_and_every_bad_row_is_named(self, lake, biologist, bring_in):
        said = bring_in(
            "species,length_in,sex,arm,date,age,method\n"
            "White crappie,9.4,F,Brindle,2026-05-06,3,creel\n"
            "Pike,9.4,F,Brindle,2026-05-06,3,\n"
            "White crappie,nine,F,Brindle,2026-05-06,3,\n"
            "White crappie,9.4,X,Sorrel,May 6,three,dynamite\n"
            "White crappie,94,F,Brindle,2026-05-06,40,\n",
            "--commit",
        )

        assert set(said.bad) == {
            (3, "species", "Pike"),
            (4, "length_in", "nine"),
            (5, "sex", "X"),
            (5, "arm", "Sorrel"),
            (5, "date", "May 6"),
            (5, "age", "three"),
            (5, "method", "dynamite"),
            (6, "age", "40"),
        }
        assert said.was_refused
        assert not Fish.objects.exists()

    def test_an_unusual_length_is_asked_about_and_taken_when_confirmed(
        self, lake, biologist, bring_in
    ):
        text = "species,length_in,arm\nWhite crappie,94,Brindle\n"

        said = bring_in(text, "--commit")
        bring_in(text, "--commit", "--confirm-unusual")

        assert said.bad == [(2, "length_in", "94")]
        assert "--confirm-unusual" in said.text
        assert Fish.objects.get().length_hundredths_mm == 94 * 2540

    @pytest.mark.parametrize(
        "content",
        [
            b"\xef\xbb\xbfspecies;length_mm;arm\nWhite crappie;240;Brindle\n",
            "species\tTL mm\tarm\tangler\nWhite crappie\t240\tBrindle\tJos\xe9\n".encode("latin-1"),
            b"species,length_cm,arm\r\nWhite crappie,24.0,Brindle\r\n\r\n",
            "species\tlength_mm\tarm\r\nWhite crappie\t240\tBrindle\r\n".encode("utf-16"),
            b"\xfe\xff" + "species,length_mm,arm\nWhite crappie,240,Brindle\n".encode("utf-16-be"),
        ],
        ids=[
            "byte-order mark and semicolons",
            "tabs and Latin-1",
            "centimetres and CRLF",
            "UTF-16",
            "UTF-16, high byte first",
        ],
    )
    def test_reads_what_spreadsheets_write(self, lake, biologist, bring_in, content):
        bring_in(content, "--commit")

        assert Fish.objects.get().length_hundredths_mm == 24000

    @pytest.mark.parametrize(
        ("content", "code"),
        [
            ("species,arm\nWhite crappie,Brindle\n", "no_length"),
            ("species,length_mm\n", "empty"),
            ("", "empty"),
            (b"PK\x03\x04\x00\x00", "not_text"),
        ],
        ids=["no length", "headings only", "empty", "not a CSV"],
    )
    def test_a_file_that_cannot_be_read_says_what_to_do(
        self, lake, biologist, bring_in, content, code
    ):
        assert bring_in(content, "--commit").code == code

    def test_fifty_megabytes_are_refused_with_a_sentence(self, lake, biologist, tmp_path):
        path = tmp_path / "large.csv"
        with path.open("wb") as file:
            file.truncate(50 * 1024 * 1024)

        with pytest.raises(CommandError) as refused:
            call_command("import_fish", path, "--lake", "Lake Orrinbeck", "--season", "2026")

        assert refused.value.__cause__.code == "too_large"

    def test_makes_a_lake_of_its_own_with_stated_defaults(self, biologist, bass, bring_in):
        said = bring_in(
            "age,length_mm\n3,180\n",
            "--species",
            "Smallmouth bass",
            "--structure",
            "scale",
            "--commit",
            lake="Far Pond",
        )

        lake = Lake.objects.get(name="Far Pond")
        fish = Fish.objects.get(lake=lake)
        assert (fish.arm.name, fish.arm.whole_lake, fish.caught_on) == ("Whole lake", True, None)
        assert fish.season.number_year == 2026
        assert biologist.memberships.filter(lake=lake, role="biologist").exists()
        assert "species: Smallmouth bass" in said.report.defaults
        assert all(one in said.text for one in said.report.defaults)


@each_set_of_bass
def test_439_fish_come_in_as_a_lake_of_their_own(make_file, tmp_path, biologist, bass, client):
    file = make_file(tmp_path)
    call_command(
        "import_fish",
        file.path,
        *("--lake", "Bearskin data", "--season", "1991", "--species", "Smallmouth bass"),
        *("--structure", "scale", "--by", biologist.username, "--commit"),
    )

    fish = Fish.objects.filter(lake__name="Bearskin data").select_related("age_as_given")
    ages = [one.age_as_given.age_years for one in fish]
    lengths = [one.length_hundredths_mm / 100 for one in fish]
    assert len(ages) == FISH
    slope, intercept = _straight_line(ages, lengths)
    assert (round(intercept, 3), round(slope, 3)) == file.line

    client.force_login(biologist)
    coverage = client.get("/lakes/bearskin-data/coverage/")
    at_age = client.get("/lakes/bearskin-data/findings/length-at-age/")
    assert coverage.status_code == at_age.status_code == 200
    assert "439" in coverage.content.decode()
    assert "Whole lake" in at_age.content.decode()


def _straight_line(x, y):
    mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
    slope = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / sum(
        (a - mean_x) ** 2 for a in x
    )
    return slope, mean_y - slope * mean_x
