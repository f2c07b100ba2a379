"""How per cent and rates are written by people, and what is kept of them."""

import math
from decimal import Decimal

import pytest

from samples.waters.rules import (
    Unwritable,
    more_taken_than_tagged,
    percent_text,
    rate_text,
    read_number,
    share_of_percent,
    share_of_rate,
)


class TestNumbers:
    @pytest.mark.parametrize(
        ("text", "number"),
        [
            ("30", "30"),
            (" 7.5 ", "7.5"),
            ("7,5", "7.5"),
            ("30 %", "30"),
            ("30%", "30"),
            (".5", ".5"),
        ],
    )
    def test_as_people_write_them(self, text, number):
        assert read_number(text) == Decimal(number)

    @pytest.mark.parametrize("text", ["", "%", "-3", "few", "1 2", "1e3", "٣", "10-20", "12345"])
    def test_what_is_none(self, text):
        with pytest.raises(Unwritable) as refused:
            read_number(text)

        assert refused.value.code == "no_number"

    @pytest.mark.parametrize(
        ("percent", "share"), [("0", "0"), ("1", ".01"), ("45.25", ".4525"), ("100", "1")]
    )
    def test_per_cent_becomes_a_share_and_is_shown_again(self, percent, share):
        assert share_of_percent(Decimal(percent)) == Decimal(share)
        assert percent_text(Decimal(share)) == percent

    @pytest.mark.parametrize(
        ("percent", "code"),
        [("0.3", "share"), ("0.30", "share"), ("100.5", "above_100"), ("7.125", "too_fine")],
    )
    def test_what_is_not_per_cent(self, percent, code):
        with pytest.raises(Unwritable) as refused:
            share_of_percent(Decimal(percent))

        assert refused.value.code == code

    @pytest.mark.parametrize("rate", ["0.05", "0.28", "0.36", "0.8", "3"])
    def test_a_rate_becomes_the_share_that_dies_in_a_year(self, rate):
        share = share_of_rate(Decimal(rate))

        assert float(share) == pytest.approx(1 - math.exp(-float(rate)), abs=0.00005)
        assert float(rate_text(share)) == pytest.approx(float(rate), abs=0.01)

    @pytest.mark.parametrize(
        ("rate", "code"),
        [("0", "no_rate"), ("3.1", "no_rate"), ("30", "no_rate"), ("0.00001", "none_die")],
    )
    def test_what_is_no_rate(self, rate, code):
        with pytest.raises(Unwritable) as refused:
            share_of_rate(Decimal(rate))

        assert refused.value.code == code

    @pytest.mark.parametrize(("returned", "too_many"), [(129, False), (130, True)])
    def test_more_fish_cannot_be_taken_than_were_tagged(self, returned, too_many):
        reporting = (Decimal("0.5"), Decimal("0.8"))

        assert too_many == more_taken_than_tagged(
            tags_out=200, returned=returned, reporting=reporting, at_risk=Decimal(1)
        )
