"""Spreadsheets come as people have them: finer lengths, other dates, decimal ages, second names."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from samples.models import AgeAsGiven, Fish
from samples.waters.services import load_catalogue
from tests.exchange.test_import import GOOD


class TestAsWritten:
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

        [rounded] = said.report.rounded
        assert ("239.525" in rounded, "239.53 mm" in rounded) == (True, True)
        assert rounded in said.text

    @pytest.mark.parametrize(("typed", "weight_g"), [("310.0", 310), ("310,0", 310), ("310", 310)])
    def test_whole_numbers_may_have_spare_decimals(
        self, lake, biologist, bring_in, typed, weight_g
    ):
        row = f'White crappie,9.4,Brindle,"{typed}"'
        bring_in(f"species,length_in,arm,weight_g\n{row}\n", "--commit")

        assert Fish.objects.get().weight_g == weight_g

    @pytest.mark.parametrize("typed", ["1,000", "1,250", "10,000"])
    def test_a_comma_that_may_part_thousands_is_refused(self, lake, biologist, bring_in, typed):
        row = f'White crappie,9.4,Brindle,"{typed}"'
        said = bring_in(f"species,length_in,arm,weight_g\n{row}\n", "--commit")

        assert f"found {typed}" in said.text
        assert not Fish.objects.exists()

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
        told = [one for one in said.report.rounded if f" {age} " in one]
        assert len(told) == (0 if age.endswith(".0") else 1)

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
        orders = [one for one in ("month/day/year", "day/month/year") if one in said.text]
        assert orders == [order][: bool(order)]

    def test_dates_that_can_be_read_in_two_ways_ask_once_which_is_meant(
        self, lake, biologist, bring_in
    ):
        text = "species,length_in,arm,date\n" + "White crappie,9.4,Brindle,5/6/2026\n" * 3

        said = bring_in(text, "--commit")
        bring_in(text, "--commit", "--dates", "dmy")

        [column] = said.report.problems()
        assert (column.rows, column.first.column) == (3, "date")
        assert said.text.count("--dates mdy") == 1
        assert {str(one.caught_on) for one in Fish.objects.all()} == {"2026-06-05"}

    def test_a_column_that_fails_everywhere_is_one_error(self, lake, biologist, bring_in):
        rows = "".join(f"White crappie,9.4,Brindle,{sex}\n" for sex in "QXZ")

        said = bring_in(f"species,length_in,arm,sex\n{rows}", "--commit")

        [column] = said.report.problems()
        assert (column.rows, column.first.row) == (3, 2)
        assert (column.first.column, column.first.found) == ("sex", "Q")
        assert said.text.count("found ") == 1
        assert said.was_refused

    def test_a_column_that_fails_nearly_everywhere_is_one_error_too(
        self, lake, biologist, bring_in
    ):
        rows = "".join(f"White crappie,{inches}.4,Brindle\n" for inches in range(70, 95))

        said = bring_in(f"species,length_in,arm\nWhite crappie,9.4,Brindle\n{rows}")

        [column] = said.report.problems()
        assert (column.rows, said.report.rows, column.first.column) == (25, 26, "length_in")
        assert said.was_refused

    def test_the_same_fish_under_another_file_name_do_not_count_twice_unseen(
        self, lake, biologist, bring_in
    ):
        bring_in(GOOD, "--commit")

        tried = bring_in(GOOD, name="copy of fish.csv")
        refused = bring_in(GOOD, "--commit", name="copy of fish.csv")
        count = Fish.objects.count()
        bring_in(GOOD, "--commit", "--other-fish", name="copy of fish.csv")

        assert (tried.report.known, tried.report.known_as) == (3, "fish.csv")
        assert (tried.was_refused, refused.was_refused) == (False, True)
        assert (count, Fish.objects.count()) == (3, 6)

    def test_other_fish_of_another_file_are_no_copy(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        said = bring_in(GOOD.replace("9.4", "9.5").replace("8.0", "8.1"), "--commit", name="b.csv")

        assert said.report.known_as == ""
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

    with pytest.raises(CommandError, match=r"manage\.py migrate"):
        call_command(*words)


@pytest.mark.django_db
def test_walleye_of_published_ages_are_not_unusual(biologist, bring_in):
    """Ages 17 to 20 of walleye lie well below the published maximum of 29 years (FishBase)."""
    load_catalogue()
    rows = "".join(f"Walleye,600,{age}\n" for age in (17, 18, 19, 20, 29))

    bring_in(f"species,length_mm,age\n{rows}", "--commit", lake="Far Pond")
    said = bring_in("species,length_mm,age\nWalleye,600,30\n", lake="Far Pond", name="b.csv")

    assert sorted(AgeAsGiven.objects.values_list("age_years", flat=True)) == [17, 18, 19, 20, 29]
    assert said.bad == [(2, "age", "30")]
    assert "--confirm-unusual" in said.text
