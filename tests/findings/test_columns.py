"""Tables as files: every number in a column of its own."""

import pytest

from samples.findings.figures import as_columns
from samples.findings.page_model import Table
from samples.rules.csv_text import plain_cell


def test_intervals_are_taken_apart_and_dashes_left_empty():
    table = Table(
        name="x",
        caption="x",
        heads=["Arm", "Mean", "95 % interval of the mean", "Change, %", "Seasons"],
        rows=[
            ["Brindle", "9.0", "8.0 to 10.0", "+12 (-2 to +22)", "2.0 to never"],
            ["Hobbin", "–", "–", "–", "–"],
        ],
    )

    assert as_columns(table) == [
        ["Arm", "Mean", "mean, lower", "mean, upper", "Change, %", "Change, %, lower",
         "Change, %, upper", "Seasons, lower", "Seasons, upper"],
        ["Brindle", "9.0", "8.0", "10.0", "+12", "-2", "+22", "2.0", "never"],
        ["Hobbin", "", "", "", "", "", "", "", ""],
    ]  # fmt: skip


@pytest.mark.parametrize("number", ["-7.70289", "+12", "-1,200", "3.5e-05", "-2e+06"])
def test_a_number_with_its_sign_stays_a_number(number):
    assert plain_cell(number) == number


@pytest.mark.parametrize("words", ["=1+1", "+1+cmd", "-2+3", "@sum", "-7 fish"])
def test_what_begins_like_a_formula_is_made_words(words):
    assert plain_cell(words) == f"'{words}"


def test_an_interval_is_named_after_the_value_before_it():
    table = Table(
        "t",
        "T",
        ["Arm", "M, per year", "95% CI", "Share, %", "95 % interval, %"],
        [["Hobbin", "0.36", "0.2 to 0.4", "12", "10 to 14"]],
    )

    heads = as_columns(table)[0]

    assert heads == [
        "Arm", "M, per year", "M, per year, lower", "M, per year, upper",
        "Share, %", "Share, %, lower", "Share, %, upper",
    ]  # fmt: skip
