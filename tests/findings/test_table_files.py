"""Tables as files: every number in a column of its own, its unit in the head, nothing rounded."""

import io

import openpyxl
import pandas as pd
import pytest

from samples.findings.page_model import (
    Column,
    Count,
    Estimate,
    Interval,
    Joined,
    Length,
    LengthBin,
    Missing,
    Number,
    PValue,
    Share,
    Table,
    Text,
    in_words,
)
from samples.findings.page_model.cells import NO_END
from samples.findings.presenters.table_csv import as_csv
from samples.findings.presenters.table_html import as_html
from samples.findings.presenters.table_xlsx import as_xlsx
from samples.units import LengthUnit

NEVER = in_words("never")
NOTE = "What stands in it."
MEAN = "Mean length"


def table_of(*columns, rows):
    return Table("t", "A table", columns, rows, note=NOTE)


def read(table):
    return pd.read_csv(io.StringIO(as_csv(table)))


def sheet_of(table, name="Table"):
    book = openpyxl.load_workbook(io.BytesIO(as_xlsx(table)))
    return book[name]


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (Number(1.256, 2), "1.26"),
        (Number(-0.001, 2), "0.00"),
        (Number(2.04, 1, signed=True), "+2.0"),
        (Number(12.4, unit="g"), "12 g"),
        (Count(0, shown="·"), "·"),
        (Share(0.256), "26"),
        (Share(0.256, with_sign=True), "26%"),
        (PValue(0.0004), "< 0.001"),
        (PValue(0.0314), "0.031"),
        # 10.0 in is 254 mm by definition.
        (Length(254.0, LengthUnit.INCH, with_unit=True), "10.0 in"),
        (LengthBin(25400, 2540, LengthUnit.INCH), "10.0-10.9 in"),
        (Interval(8.04, 9.96), "8.0 to 10.0"),
        (Interval(-0.001, None, 2), f"0.00 to {NO_END}"),
        (Interval(None, None), "–"),
        (Interval(in_words("more than 5"), in_words("more than 5")), "more than 5"),
        (Estimate(12.4, -2.3, 22.0, signed=True), "+12 (\N{MINUS SIGN}2 to +22)"),
        (Estimate(0.3, -0.4, 22.0, signed=True), "0 (0 to +22)"),
        (Estimate(34.0, 20.0, 45.0, unit="%"), "34% (20 to 45)"),
        (Interval(-0.82, 1.15, 2), "\N{MINUS SIGN}0.82 to 1.15"),
        (Estimate(2.0, 1.5, NEVER, 1), "2.0 (1.5 to never)"),
        (Estimate(NEVER, NEVER, NEVER, 1), "never"),
        (Joined("{} of {}", (("", Count(3)), ("out", Count(9)))), "3 of 9"),
        (Missing("one trip"), "–"),
    ],
)
def test_a_cell_is_written_as_the_trade_writes_it(cell, text):
    assert cell.text == text


def test_a_file_holds_the_value_as_it_was_computed():
    frame = read(table_of(Column("Z, per year", "Z", "per year"), rows=[[Number(2 / 3, 2)]]))

    assert list(frame.columns) == ["Z (per year)"]
    assert frame["Z (per year)"][0] == pytest.approx(2 / 3, rel=1e-14)


def test_an_interval_stands_in_two_columns_beside_its_value():
    frame = read(
        table_of(
            Column("Arm"),
            Column("Mean", MEAN, "in"),
            Column("95% CI", MEAN, "in"),
            rows=[
                [Text("Brindle"), Number(9.04, 1), Interval(8.01, 10.02)],
                [Text("Hobbin"), Missing("no fish"), Interval(None, None, reason="no fish")],
            ],
        )
    )

    assert list(frame.columns) == [
        "Arm",
        f"{MEAN} (in)",
        f"{MEAN} low (in)",
        f"{MEAN} high (in)",
        f"{MEAN} note",
    ]
    assert frame.iloc[0, 1:4].tolist() == [9.04, 8.01, 10.02]
    assert frame.iloc[1, 1:4].isna().all()
    assert frame[f"{MEAN} note"].tolist()[1:] == ["no fish"]


def test_words_in_the_place_of_a_number_leave_the_column_numbers():
    frame = read(
        table_of(
            Column("Years", unit="years"),
            Column("Age", unit="years"),
            rows=[
                [Estimate(2.0, 1.5, NEVER, 1), Count(3)],
                [NEVER, Text("not known")],
            ],
        )
    )

    assert frame["Years (years)"].dtype == "float64"
    assert frame["Years low (years)"].tolist()[0] == 1.5
    assert frame["Years note"].tolist() == ["high: never", "never"]
    assert frame["Age (years)"].dtype == "float64"
    assert frame["Age note"].tolist()[1] == "not known"


def test_amounts_of_different_units_have_their_unit_beside_them():
    frame = read(
        table_of(
            Column("Figure"),
            rows=[
                [Estimate(34.0, 20.0, 45.0, unit="%")],
                [Length(254.0, LengthUnit.INCH)],
                [Text("20 weighed fish")],
            ],
        )
    )

    assert frame["Figure"].tolist()[:2] == [34.0, 10.0]
    assert frame["Figure unit"].tolist()[:2] == ["%", "in"]
    assert frame["Figure note"].tolist()[2] == "20 weighed fish"


def test_a_bin_is_a_number_at_each_edge():
    frame = read(table_of(Column("Length"), rows=[[LengthBin(27940, 2540, LengthUnit.INCH)]]))

    assert frame.to_dict("records") == [{"Length low (in)": 11, "Length below (in)": 12}]


@pytest.mark.parametrize("words", ["=1+1", "+1+cmd", "-2+3", "@sum", "\t=1", "-7 fish"])
def test_words_that_look_like_a_formula_are_words_in_every_file(words):
    table = table_of(Column("=A1"), rows=[[Text(words)]])

    head, cell = (sheet_of(table).cell(row, 1) for row in (1, 2))

    assert (head.data_type, head.value) == ("s", "=A1")
    assert (cell.data_type, cell.value) == ("s", words)
    assert as_csv(table).splitlines() == ["'=A1", f"'{words}"]


def test_a_workbook_shows_numbers_rounded_and_says_what_they_are():
    table = table_of(
        Column("Z", unit="per year"),
        Column("Change", unit="%"),
        Column("Words"),
        rows=[[Number(2 / 3, 2), Number(3.2, signed=True), Text("a\x00b")], [Missing()] * 3],
    )

    sheet = sheet_of(table)

    z, change, words = sheet[2]
    assert (z.value, z.number_format) == (pytest.approx(2 / 3, rel=1e-14), "0.00")
    assert change.number_format == "+0;-0;0"
    assert words.value == "ab"
    assert [cell.value for cell in sheet[3]] == [None] * 3
    about = [row[0].value for row in sheet_of(table, "About").iter_rows()]
    assert about == ["A table", NOTE]


def test_on_the_page_words_and_numbers_are_set_apart():
    table = table_of(
        Column("Arm"),
        Column("Source"),
        Column("Z"),
        rows=[
            [Text("Brindle"), Missing(), Number(0.5, 1)],
            [Text("Hobbin"), Text("x" * 25), Missing()],
        ],
    )

    shown = as_html(table)

    assert [head.css_class for head in shown.heads] == ["", "sentence-cell", "figure-cell"]
    assert [[cell.text for cell in row] for row in shown.rows] == [
        ["Brindle", "–", "0.5"],
        ["Hobbin", "x" * 25, "–"],
    ]


def test_on_the_page_points_stand_under_each_other():
    rows = [
        [Text("Linf"), Number(14.7, 1), Interval(13.7, 15.9, 1)],
        [Text("K"), Number(0.481, 3), Interval(0.39, 0.6, 2)],
        [Text("n"), Count(95), Missing()],
    ]

    shown = as_html(table_of(Column("Value"), Column("Estimate"), Column("95% CI"), rows=rows))

    assert [[cell.pad for cell in row[1:]] for row in shown.rows] == [
        ["00", "0"],
        ["", ""],
        [".000", ""],
    ]


def test_on_a_phone_lines_are_pairs_where_reading_down_is_easier():
    numbers = [Number(1)] * 7
    of_words = table_of(Column("Arm"), Column("Source"), rows=[[Text("Brindle"), Text("x" * 25)]])
    wide = table_of(
        *(Column(f"Estimate {place}") for place in range(8)), rows=[[Text("Brindle"), *numbers]]
    )
    matrix = table_of(
        Column("Length"),
        *(Column(f"Age {age}, %") for age in range(7)),
        rows=[[Text("9"), *numbers]],
    )

    assert [as_html(one).in_pairs for one in (of_words, wide, matrix)] == [True, True, False]
    assert [cell.label for cell in as_html(of_words).rows[0]] == ["Arm", "Source"]
    long = table_of(*wide.columns, rows=[*wide.rows] * 13)
    assert not as_html(long).in_pairs
    assert not as_html(wide, is_shown=False).in_pairs
