"""Verdicts side by side: a row for each arm, the change drawn on one scale."""

import pytest

from samples.findings.page_model import Estimate, GroupVerdict, Verdicts, in_words
from samples.findings.presenters.figure_html import figures_as_html, script_data
from samples.findings.presenters.verdict_html import verdicts_as_html

NOTHING = in_words("no change")
ROWS = [
    GroupVerdict("A", "harvest", "Harvest", "Yes.", "", Estimate(24, 9, 61), [Estimate(14, 1, 2)]),
    GroupVerdict("B", "growth", "Growth", "No.", "", Estimate(-88.4, -97, -71), [NOTHING]),
    GroupVerdict("C", "little-effect", "Little effect", "No need.", "", NOTHING, [NOTHING]),
]
VERDICTS = Verdicts("Arm", "Would 10 in help?", "Change", ["9.0 in"], ROWS)


class TestDrawn:
    def test_all_rows_are_on_one_scale_that_holds_every_interval(self):
        shown = verdicts_as_html(VERDICTS)

        gain, loss, _ = shown.rows
        assert [tick.text for tick in shown.ticks] == ["\N{MINUS SIGN}100%", "0", "+100%"]
        assert float(gain.change.low) > float(shown.zero) > float(loss.change.high)
        assert float(shown.start) <= float(loss.change.low) < float(loss.change.dot)
        assert float(gain.change.dot) < float(gain.change.high) < float(shown.end)

    def test_a_change_is_written_with_its_sign_and_interval(self):
        gain, loss, none = verdicts_as_html(VERDICTS).rows

        assert (gain.value, gain.interval, gain.others) == (
            "+24%",
            "(+9 to +61)",
            [("9.0 in", "+14%")],
        )
        assert (loss.value, loss.others) == ("\N{MINUS SIGN}88%", [("9.0 in", NOTHING.text)])
        assert (none.change, none.value, none.interval) == (None, NOTHING.text, "")


@pytest.mark.once
@pytest.mark.django_db
class TestOfALake:
    def test_each_arm_has_a_row_and_one_that_cannot_be_judged_too(
        self, made, fished, entered, lake, aged
    ):
        entered(returned=75)
        aged(3, [8.0, 9.0], arm=lake.arms.get(name="Hobbin"))

        page = made("length-limit", "limit_1=10&limit_2=9&limit_3=11")

        rows = {row.group: row for row in page.verdicts.rows}
        assert {name: row.code for name, row in rows.items()} == {
            "Brindle": "harvest",
            "Hobbin": "cannot-tell",
        }
        assert (
            rows["Brindle"].change.low < rows["Brindle"].change.value < rows["Brindle"].change.high
        )
        assert list(page.verdicts.other_heads) == ["9.0 in", "11.0 in"]
        assert [len(row.others) for row in rows.values()] == [2, 2]
        # What a row says at length is said once: under the rows, and not above them too.
        assert rows["Brindle"].says in page.by_group
        assert rows["Brindle"].says not in page.lead

    def test_an_open_one_says_what_would_settle_it(self, made, fished, entered):
        entered(returned=45, natural=("0.20", "0.45", "0.75"))

        [row] = made("length-limit", "agree=99").verdicts.rows

        assert (row.code, bool(row.settle)) == ("cannot-tell", True)

    def test_the_line_that_can_be_moved_begins_where_the_page_stands(self, made, fished, entered):
        entered(returned=75)
        page = made("length-limit")

        data = script_data(page, figures_as_html(page), "")

        [line] = data["lines"].values()
        [of_arm] = line["panels"]
        assert (line["value"], line["unit"], data["dots"]) == (10.0, "in", {})
        assert of_arm["x"][0] <= 10 <= of_arm["x"][-1]
        at = of_arm["x"].index(10.0)
        head = float(page.plots[2].panels[0].answer.rstrip("%").replace("\N{MINUS SIGN}", "-"))
        assert of_arm["low"][at] < of_arm["middle"][at] < of_arm["high"][at]
        # The line is of the middle exploitation, the verdict of all draws.
        assert of_arm["middle"][at] == pytest.approx(head, abs=5)
