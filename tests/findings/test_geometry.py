"""The figure of lengths at age: everything on its panel, and to one scale."""

import re

import pytest

from samples.findings.geometry import Point, figure_of

MEANS = {
    "Brindle": [Point(1, 6.0, 0.5, 9), Point(2, 8.0, None, 1), Point(4, 11.0, 0.4, 5)],
    "Cutbank": [Point(1, 5.0, 0.5, 9), Point(2, 6.0, 0.7, 4)],
}


def numbers(path):
    return [float(one) for one in re.findall(r"-?\d+\.?\d*", path)]


@pytest.fixture
def figure():
    return figure_of(MEANS, {"Brindle": "15 fish"}, step=5, oldest=4)


class TestFigure:
    def test_has_a_panel_for_each_arm_with_the_others_behind(self, figure):
        assert [panel.name for panel in figure.panels] == ["Brindle", "Cutbank"]
        assert [len(panel.others) for panel in figure.panels] == [1, 1]
        # The same curve, on the place of the other panel.
        across = figure.panels[1].left - figure.panels[0].left
        behind, own = numbers(figure.panels[0].others[0]), numbers(figure.panels[1].line)
        assert behind[::2] == pytest.approx([x - across for x in own[::2]])
        assert behind[1::2] == own[1::2]

    def test_longer_fish_stand_higher_and_older_ones_further_right(self, figure):
        dots = figure.panels[0].dots

        assert [dot.x for dot in dots] == sorted(dot.x for dot in dots)
        assert [dot.y for dot in dots] == sorted((dot.y for dot in dots), reverse=True)

    def test_nothing_leaves_its_panel(self, figure):
        for panel in figure.panels:
            for dot in panel.dots:
                assert panel.left <= dot.x <= panel.right
                assert panel.top <= dot.y <= panel.floor

    def test_both_panels_have_one_scale(self, figure):
        first, second = figure.panels
        assert [rule.y for rule in first.rules] == [rule.y for rule in second.rules]
        assert [rule.words for rule in first.rules] == ["0", "5", "10", "15"]

    def test_a_single_fish_has_a_dot_and_no_bar(self, figure):
        assert len(figure.panels[0].dots) == 3
        assert len(figure.panels[0].bars) == 2

    def test_a_band_needs_two_ages_side_by_side(self, figure):
        assert figure.panels[0].band == ""
        assert len(numbers(figure.panels[1].band)) == 8

    def test_more_than_five_arms_begin_a_new_row(self):
        many = {f"Arm {k}": [Point(1, 6.0, 0.5, 9)] for k in range(7)}

        figure = figure_of(many, {}, step=5, oldest=1)

        assert figure.panels[5].left == figure.panels[0].left
        assert figure.panels[5].top > figure.panels[0].floor
