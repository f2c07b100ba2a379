"""A spreadsheet of fish comes in whole or not at all, and says why not, row by row."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from samples.models import AgeAsGiven, Fish, Lake, Party, Species
from samples.waters.services import load_catalogue
from tests.left_out import REAL_FISH, needs_real_fish


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


@pytest.fixture
def bring_in(tmp_path, capsys):
    """Write a file and import it; answer with what the command said."""

    def run(content, *options, name="fish.csv", lake="Lake Orrinbeck"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        try:
            call_command("import_fish", path, "--lake", lake, "--season", "2026", *options)
        except CommandError as problem:
            return capsys.readouterr().out + str(problem)
        return capsys.readouterr().out

    return run


GOOD = """Species,Length (in),Sex,Arm,Date,Age,Note
White crappie,9.4,F,Brindle,2026-05-06,3,
Black crappie,10.1,male,Cutbank,6 May 2026,,seen by two
White crappie,8.0,,Brindle,2026-05-06,2,
"""


class TestImport:
    def test_shows_what_it_would_do_and_writes_nothing(self, lake, biologist, bring_in):
        said = bring_in(GOOD)

        assert "3 rows read for Lake Orrinbeck." in said
        assert "Would write: 3 fish in 2 trips, 2 ages as given" in said
        assert "Columns not used: Note." in said
        assert not Fish.objects.exists()
        assert not Party.objects.exists()

    def test_commit_writes_all_rows_and_ages_apart_from_readings(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit", "--structure", "otolith")

        fish = Fish.objects.order_by("length_hundredths_mm")
        assert [one.length_as_measured for one in fish] == ["8.0", "9.4", "10.1"]
        assert [one.get_progress_display() for one in fish] == [
            "Age as given",
            "Age as given",
            "Measured only",
        ]
        assert set(AgeAsGiven.objects.values_list("age_years", "structure", "source")) == {
            (3, "otolith", "fish.csv"),
            (2, "otolith", "fish.csv"),
        }
        assert all(one.logged_by == biologist for one in fish)

    def test_is_safe_to_repeat(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        said = bring_in(GOOD, "--commit")

        assert "Written: 0 fish" in said
        assert "3 were there already." in said
        assert (Fish.objects.count(), AgeAsGiven.objects.count()) == (3, 2)

    def test_next_years_file_of_the_same_name_is_other_fish(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        said = bring_in(GOOD, "--season", "2027", "--commit")

        assert "Written: 3 fish" in said
        seasons = Fish.objects.values_list("season__number_year", flat=True)
        assert sorted(seasons) == [2026] * 3 + [2027] * 3

    def test_a_biologist_of_another_lake_brings_nothing_in_here(
        self, lake, biologist, stranger, bring_in
    ):
        said = bring_in(GOOD, "--by", stranger.username, "--commit")

        assert "is no biologist of Lake Orrinbeck" in said
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
        assert "Row 2, vial: expected Another fish is logged against this vial." in said

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

        for words in (
            "Row 3, species: expected a species of the list",
            "found Pike",
            "Row 4, length_in: expected a total length",
            "found nine",
            "Row 5, sex: expected female, male, immature or not known; found X",
            "Row 5, arm: expected an arm of Lake Orrinbeck: Brindle",
            "found Sorrel",
            "Row 5, date: expected a date, such as 2026-05-06",
            "Row 5, age: expected an age in years, such as 3 or 3.9; found three",
            "found dynamite",
            "Row 6, age: expected a usual age",
        ):
            assert words in said
        assert "Nothing was written" in said
        assert not Fish.objects.exists()

    def test_an_unusual_length_is_asked_about_and_taken_when_confirmed(
        self, lake, biologist, bring_in
    ):
        text = "species,length_in,arm\nWhite crappie,94,Brindle\n"

        said = bring_in(text, "--commit")
        bring_in(text, "--commit", "--confirm-unusual")

        assert "Row 2, length_in: expected Is this 9.4 inches? Add --confirm-unusual if" in said
        assert "it is right; found 94" in said
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
        ("content", "sentence"),
        [
            ("species,arm\nWhite crappie,Brindle\n", "no column of total lengths"),
            ("species,length_mm\n", "no row of fish"),
            ("", "no row of fish"),
            (b"PK\x03\x04\x00\x00", "Save the sheet as CSV"),
        ],
        ids=["no length", "headings only", "empty", "not a CSV"],
    )
    def test_a_file_that_cannot_be_read_says_what_to_do(
        self, lake, biologist, bring_in, content, sentence
    ):
        assert sentence in bring_in(content, "--commit")

    def test_fifty_megabytes_are_refused_with_a_sentence(self, lake, biologist, tmp_path):
        path = tmp_path / "large.csv"
        with path.open("wb") as file:
            file.truncate(50 * 1024 * 1024)

        with pytest.raises(CommandError, match="The file has 50 MB, and at most 10 MB are read"):
            call_command("import_fish", path, "--lake", "Lake Orrinbeck", "--season", "2026")

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
        assert "arm: whole lake; date: not known, season 2026; species: Smallmouth bass" in said
        assert "structure scale" in said

    @pytest.mark.parametrize(
        ("column", "typed", "hundredths", "kept"),
        [
            ("length_mm", "239.52", 23952, "239.52"),
            ("length_mm", "239.525", 23953, "239.525"),
            ("length_mm", "239.50", 23950, "239.5"),
            ("length_in", "9.25", 23495, "9.25"),
            ("length_in", "9 1/4", 23495, "9.25"),
            ("length_in", '9-1/2"', 24130, "9.5"),
            ("length_in", "9.125", 23178, "9.125"),
            ("length_cm", "23.952", 23952, "239.52"),
        ],
    )
    def test_lengths_finer_than_a_board_are_kept(
        self, lake, biologist, bring_in, column, typed, hundredths, kept
    ):
        typed_so = typed.replace('"', '""')
        bring_in(f'species,{column},arm\nWhite crappie,"{typed_so}",Brindle\n', "--commit")

        fish = Fish.objects.get()
        assert (fish.length_hundredths_mm, fish.length_as_measured) == (hundredths, kept)

    def test_what_had_to_be_rounded_is_said(self, lake, biologist, bring_in):
        said = bring_in(
            "species,length_mm,arm\nWhite crappie,239.525,Brindle\nWhite crappie,239.52,Brindle\n"
        )

        assert "1 length finer than 0.01 mm, rounded: 239.525 became 239.53 mm." in said

    @pytest.mark.parametrize(
        ("age", "caught", "years"),
        [
            # Worked examples of the birthday of January 1, with hatching in mid May.
            ("3.9", "2026-04-15", 4),
            ("11.4", "2026-10-15", 11),
            ("3.5", "2026-11-15", 3),
            ("3.9", "", 4),
            ("3.4", "", 3),
            ("3.0", "", 3),
        ],
    )
    def test_decimal_ages_become_whole_years_by_the_january_birthday(
        self, lake, biologist, bring_in, age, caught, years
    ):
        said = bring_in(
            f"species,length_in,arm,date,age\nWhite crappie,9.4,Brindle,{caught},{age}\n",
            "--commit",
        )

        assert AgeAsGiven.objects.get().age_years == years
        rounded = f"1 decimal age, made whole years by the birthday of January 1: {age} became"
        assert (rounded in said) == (not age.endswith(".0"))

    @pytest.mark.parametrize(
        ("dates", "days", "order"),
        [
            (["5/6/2026", "5/13/2026"], ["2026-05-06", "2026-05-13"], "month/day/year"),
            (["6/5/2026", "13/5/2026"], ["2026-05-06", "2026-05-13"], "day/month/year"),
            (["6.5.2026 00:00", "13.5.26"], ["2026-05-06", "2026-05-13"], "day/month/year"),
            (["2026/05/06", "6-May-26"], ["2026-05-06", "2026-05-06"], ""),
            (["May 6, 2026 0:00", "20260513"], ["2026-05-06", "2026-05-13"], ""),
        ],
    )
    def test_dates_are_read_as_spreadsheets_write_them(
        self, lake, biologist, bring_in, dates, days, order
    ):
        rows = "".join(f'White crappie,9.4,Brindle,"{one}"\n' for one in dates)

        said = bring_in(f"species,length_in,arm,date\n{rows}", "--commit")

        caught = Fish.objects.order_by("caught_on").values_list("caught_on", flat=True)
        assert [str(day) for day in caught] == days
        assert (f"dates read as {order}" in said) == bool(order)

    def test_dates_that_can_be_read_in_two_ways_ask_once_which_is_meant(
        self, lake, biologist, bring_in
    ):
        text = "species,length_in,arm,date\n" + "White crappie,9.4,Brindle,5/6/2026\n" * 3

        said = bring_in(text, "--commit")
        bring_in(text, "--commit", "--dates", "dmy")

        assert said.count("--dates mdy if the month comes first") == 1
        assert "Every one of 3 rows, date: expected a date that can be read in one way" in said
        assert {str(one.caught_on) for one in Fish.objects.all()} == {"2026-06-05"}

    def test_a_column_that_fails_everywhere_is_one_error(self, lake, biologist, bring_in):
        rows = "".join(f"White crappie,9.4,Brindle,{sex}\n" for sex in "QXZ")

        said = bring_in(f"species,length_in,arm,sex\n{rows}", "--commit")

        assert "Every one of 3 rows, sex: expected female, male, immature" in said
        assert "found Q in row 2" in said
        assert "Row 2" not in said
        assert "To correct: 1. Nothing was written." in said

    def test_a_column_that_fails_nearly_everywhere_is_one_error_too(
        self, lake, biologist, bring_in
    ):
        rows = "".join(f"White crappie,{inches}.4,Brindle\n" for inches in range(70, 95))

        said = bring_in(f"species,length_in,arm\nWhite crappie,9.4,Brindle\n{rows}")

        assert "25 of 26 rows, length_in: expected Is this" in said
        assert "To correct: 1. Nothing was written." in said

    def test_the_same_fish_under_another_file_name_do_not_count_twice_unseen(
        self, lake, biologist, bring_in
    ):
        bring_in(GOOD, "--commit")

        tried = bring_in(GOOD, name="copy of fish.csv")
        refused = bring_in(GOOD, "--commit", name="copy of fish.csv")
        count = Fish.objects.count()
        bring_in(GOOD, "--commit", "--other-fish", name="copy of fish.csv")

        assert "Careful: 3 of these 3 fish are here already, from fish.csv." in tried
        assert "these fish are here already, from fish.csv. Import" in refused
        assert "Written" not in refused
        assert (count, Fish.objects.count()) == (3, 6)

    def test_other_fish_of_another_file_are_no_copy(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        said = bring_in(GOOD.replace("9.4", "9.5").replace("8.0", "8.1"), "--commit", name="b.csv")

        assert "Careful" not in said
        assert Fish.objects.count() == 6

    def test_says_how_far_a_long_file_is(self, lake, biologist, bring_in, monkeypatch, capsys):
        monkeypatch.setattr("samples.management.commands.import_fish.MANY_ROWS", 4)
        monkeypatch.setattr("samples.exchange.services.fish_table.ROWS_AT_A_TIME", 3)
        path_text = "species,length_in,arm\n" + "White crappie,9.4,Brindle\n" * 5

        told = []
        monkeypatch.setattr(
            "django.core.management.base.OutputWrapper.write",
            lambda self, text="", *args, **kwargs: told.append(text),
        )
        bring_in(path_text, "--commit")

        assert [one for one in told if one.endswith("rows")] == ["2 of 5 rows", "5 of 5 rows"]
        assert Fish.objects.count() == 5


WITHOUT_TABLES = [
    ("import_fish", "fish.csv", "--lake", "A", "--season", "2026"),
    ("import_rings", "rings.csv", "--lake", "A", "--by", "b"),
    ("set_up_lake", "--lake", "A", "--biologist", "b"),
    ("phone_token", "b"),
]


@pytest.mark.django_db
@pytest.mark.parametrize("words", WITHOUT_TABLES, ids=[words[0] for words in WITHOUT_TABLES])
def test_a_database_without_tables_says_to_migrate(monkeypatch, words):
    monkeypatch.setattr(connection.introspection, "table_names", list)

    with pytest.raises(CommandError, match=r"no tables yet. Run manage.py migrate first."):
        call_command(*words)


@pytest.mark.django_db
def test_walleye_of_published_ages_are_not_unusual(biologist, bring_in):
    """Ages 17 to 20 of walleye lie well below the published maximum of 29 years (FishBase)."""
    load_catalogue()
    rows = "".join(f"Walleye,600,{age}\n" for age in (17, 18, 19, 20, 29))

    bring_in(f"species,length_mm,age\n{rows}", "--commit", lake="Far Pond")
    said = bring_in("species,length_mm,age\nWalleye,600,30\n", lake="Far Pond", name="b.csv")

    assert sorted(AgeAsGiven.objects.values_list("age_years", flat=True)) == [17, 18, 19, 20, 29]
    assert "Age 30 is above 29" in said
    assert "Add --confirm-unusual if it is right; found 30" in said


@needs_real_fish
def test_439_real_fish_come_in_as_a_lake_of_their_own(biologist, bass, client):
    """Data set `wblake`, S. Weisberg, Applied Linear Regression (4th ed., Wiley 2014)."""
    call_command(
        "import_fish",
        REAL_FISH,
        *("--lake", "Bearskin data", "--season", "1991", "--species", "Smallmouth bass"),
        *("--structure", "scale", "--by", biologist.username, "--commit"),
    )

    fish = Fish.objects.filter(lake__name="Bearskin data").select_related("age_as_given")
    ages = [one.age_as_given.age_years for one in fish]
    lengths = [one.length_hundredths_mm / 100 for one in fish]
    assert len(ages) == 439
    slope, intercept = _straight_line(ages, lengths)
    assert (round(intercept, 3), round(slope, 3)) == (65.527, 30.324)

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
