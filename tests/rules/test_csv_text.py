"""Words for a file that a spreadsheet will not take for a formula."""

import pytest

from samples.rules.csv_text import plain_cell


@pytest.mark.parametrize("number", ["-7.70289", "+12", "-1,200", "3.5e-05", "-2e+06"])
def test_a_number_with_its_sign_stays_a_number(number):
    assert plain_cell(number) == number


@pytest.mark.parametrize("words", ["=1+1", "+1+cmd", "-2+3", "@sum", "-7 fish"])
def test_what_begins_like_a_formula_is_made_words(words):
    assert plain_cell(words) == f"'{words}"
