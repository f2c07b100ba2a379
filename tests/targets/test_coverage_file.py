"""Coverage as a file: a line for each cell, safe to open in a spreadsheet."""

import csv
import io

import pytest

from samples.models import Donor, Progress
from tests.targets.fish import make_fish
from tests.targets.pages import want

pytestmark = pytest.mark.django_db


class TestFile:
    def test_has_a_line_for_each_cell_and_each_bin(self, page, party, white, season, brindle):
        want(season, white, 10, 3, brindle)
        want(season, white, 10, 10)
        make_fish(party, white, 10.2, progress=Progress.ONE_READER, count=2)
        make_fish(party, white, 10.2, progress=Progress.LOGGED)

        answer = page("coverage_csv")
        lines = list(csv.DictReader(io.StringIO(answer.content.decode())))

        assert answer["Content-Disposition"].endswith(
            'filename="coverage-lake-orrinbeck-white-crappie-2026.csv"'
        )
        assert [line["arm"] for line in lines] == ["Brindle", "Cutbank", "Hobbin", "all arms"]
        assert {name: lines[0][name] for name in list(lines[0])[3:]} == {
            "arm": "Brindle",
            "from": "10.0",
            "below": "11.0",
            "unit": "in",
            "measured": "3",
            "logged": "3",
            "received": "2",
            "aged": "2",
            "aged_by_one_reader": "2",
            "age_as_given": "0",
            "wanted": "3",
            "short": "1",
            "in_hand": "1",
            "largest_donor_percent": "100",
            "largest_donor": "R. Ostrow",
            "counted_fish": "aged",
            "only": "",
        }
        assert (lines[3]["wanted"], lines[3]["short"]) == ("10", "8")

    def test_gives_a_spreadsheet_no_formula(self, page, party, white):
        Donor.objects.filter(pk=party.donor_id).update(name="=1+1")
        make_fish(party, white, 10.2, count=2)

        lines = list(csv.DictReader(io.StringIO(page("coverage_csv").content.decode())))

        assert lines[0]["largest_donor"] == "'=1+1"
