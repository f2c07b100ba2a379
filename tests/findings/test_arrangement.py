"""How a page of findings is arranged: the answer, the figures with their sentences, the tables."""

import re

import pytest

from samples.findings.page_model import Column, Count, Page, Panel, Plot, Series, Table, Text
from samples.findings.presenters.table_html import as_html
from samples.findings.topics import OFFERED
from tests.findings.conftest import codes

# What these fish say nothing of: nobody read them twice, nor caught enough of them by angling.
OTHERS = {"readers", "by-year", "edge", "length-limit"}


def attributes(shown, tag, name):
    return re.findall(rf'<{tag} [^>]*\b{name}="([^"]*)"', shown)


class TestPage:
    def test_a_sentence_of_a_group_stands_in_its_panel_alone(self):
        panel = Panel("Brindle", [Series("line", [1.0], [2.0])], says="Brindle: two.")
        plot = Plot("Growth", [panel], "Age", "Length", alt="", caption="")

        page = Page("Growth", summary=["All: one.", "Brindle: two."], plots=[plot])

        assert page.heading == "Growth"
        assert page.lead == ["All: one."]
        assert page.by_group == ["Brindle: two."]

    def test_a_long_table_shows_its_first_rows(self):
        columns = [Column("Arm"), Column("Aged")]
        short, long = (
            as_html(Table("t", "T", columns, [[Text("A"), Count(1)]] * rows)) for rows in (12, 13)
        )

        assert (short.is_long, long.is_long) == (False, True)
        assert len(long.rows) == 13

    def test_a_row_is_called_by_as_many_columns_as_tell_it_apart(self):
        columns = [Column("Arm"), Column("Age"), Column("Aged")]
        rows = [[Text("A"), Count(1), Count(9)], [Text("A"), Count(2), Count(9)]]

        alike = as_html(Table("t", "T", columns, rows))
        apart = as_html(Table("t", "T", columns, [rows[0], [Text("B"), *rows[0][1:]]]))

        assert [[cell.heads_row for cell in row] for row in alike.rows] == [[True, True, False]] * 2
        assert [[cell.heads_row for cell in row] for row in apart.rows] == [
            [True, False, False]
        ] * 2

    def test_columns_of_words_need_no_numbers(self):
        words = as_html(Table("t", "T", [Column("A"), Column("B")], [[Text("a"), Text("b")]]))

        assert not words.has_numbers


@pytest.mark.django_db
class TestShown:
    def test_one_line_then_the_figure_and_what_to_know_of_it_after(
        self, page, population, brindle, lake
    ):
        population(brindle)
        population(lake.arms.get(name="Hobbin"), linf=10.0, seed=2)

        answer = page("growth")
        shown, found = answer.content.decode(), answer.context["page"]

        assert shown.count('<p class="lead">') == 1
        assert "years_together" in codes(found.summary)
        lead, figure, note = (
            shown.index(mark) for mark in ('<p class="lead">', "panel-plot", 'id="to-know"')
        )
        assert lead < figure < note
        assert shown.count('class="more-figure"') == len(found.plots) - 1

    @pytest.mark.parametrize("topic", sorted(set(OFFERED) - OTHERS))
    def test_the_finding_heads_the_page_and_each_figure_has_a_table(
        self, page, population, brindle, lake, topic, entered
    ):
        population(brindle)
        population(lake.arms.get(name="Hobbin"), linf=10.0, seed=2)
        entered()

        shown = page(topic).content.decode()

        alternatives = attributes(shown, "svg", "aria-label")
        assert all(re.search(r"\d", one) for one in alternatives)
        assert len(alternatives) >= 2
        assert shown.index("</h1>") < shown.index("panel-plot") < shown.index('<table class="data')
        # Links of one word each are told apart by what they save.
        names = attributes(shown, "a", "aria-labelledby")
        assert len(names) == len(set(names)) > 3
        ids = set(re.findall(r' id="([^"]+)"', shown))
        assert {part for name in names for part in name.split()} <= ids
