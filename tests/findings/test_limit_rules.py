"""Rules beside a minimum limit, the limit in force, and hooking mortality by season."""

import re

import pytest

from samples.findings.topics.length_limit import others
from samples.findings.topics.length_limit.catch_season import seasons_named
from samples.models import Fish, Regulation
from tests.findings.conftest import codes, first_figure, numbers_in, rows_of

# What is worked out is the same on any database: once is enough.
pytestmark = [pytest.mark.django_db, pytest.mark.once]


class TestOtherRules:
    def test_lowering_and_removing_the_limit_in_force_are_answered(
        self, made, fished, entered, lake
    ):
        entered()
        Regulation.objects.create(
            lake=lake, in_force_from="2020-01-01", words="10 in", minimum_length_hundredths_mm=25400
        )

        page = made("length-limit", "limit_1=9.0&limit_2=10.0&limit_3=11.0")

        assert codes(page.summary)[1:3] == ["lower_limit", "limit_removed"]
        assert re.findall(r"[\d.]+ in", page.summary[1]) == ["10.0 in", "9.0 in"]
        assert re.findall(r"[\d.]+ in", page.summary[2]) == ["10.0 in"]
        names = [row[1] for row in rows_of(page, "other-rules")]
        assert [re.findall(r"[\d.]+ in", name) for name in names[:3]] == [
            ["10.0 in"],
            [],
            ["9.0 in"],
        ]
        verdicts = {row[1]: row[2] for row in rows_of(page, "verdicts")}
        assert (verdicts["9.0 in"], verdicts["10.0 in"]) == ("lower limit", "in force")
        kept = {row[1]: row for row in rows_of(page, "rests-on")}
        [(length, source)] = [row[2:] for what, row in kept.items() if what.startswith("Without")]
        assert (length, "(Gabelhouse 1984)" in source) == ("8.0 in", True)

    def test_other_rules_stand_beside_the_minimum(self, made, fished, entered):
        entered(returned=75)

        page = made(
            "length-limit",
            "limit_1=10.0&slot_from=10.0&slot_below=12.0&one_over=10.0&creel_limit=5&kept_a_trip=6",
        )

        rows = {row[1]: row for row in rows_of(page, "other-rules")}
        assert [numbers_in(name) for name in rows] == [[8.2], [10], [10, 12], [10], [5]]
        number = {name: first_figure(row[3]) for name, row in list(rows.items())[1:]}
        assert all(changed < 0 for changed in number.values())
        large = {name: first_figure(row[5]) for name, row in list(rows.items())[1:]}
        assert large["Daily limit 5"] > 0

    def test_a_creel_limit_asks_for_the_harvest_of_a_trip(self, made, fished, entered):
        entered(returned=75)

        page = made("length-limit", "limit_1=10.0&creel_limit=5")

        [table] = [one for one in page.tables if one.name == "other-rules"]
        assert all("Daily" not in row[1].text for row in table.rows)
        assert others.NO_TRIPS[1:] in table.note


class TestHookingMortality:
    """By default that of the season in which anglers caught most fish; here in May and June."""

    def released(self, page):
        return {row[1]: row for row in rows_of(page, "rests-on")}[
            "Hooking mortality of released fish"
        ]

    def test_is_that_of_the_season_when_most_fish_are_caught(self, made, fished, entered):
        entered()

        spring = self.released(made("length-limit"))
        Fish.objects.filter(method="angler_kept").update(caught_on="2026-07-10")
        summer = self.released(made("length-limit"))

        assert spring[2].startswith("8%")
        assert spring[3].endswith(" in spring)")
        assert summer[2].startswith("45%")
        assert summer[3].endswith(" in summer)")

    def test_is_the_highest_where_none_names_the_season(self, made, fished, entered):
        entered()
        Fish.objects.filter(method="angler_kept").update(caught_on="2026-11-10")

        fall = self.released(made("length-limit"))

        assert fall[2].startswith("45%")
        assert "(the highest" in fall[3]

    @pytest.mark.parametrize(
        ("words", "seasons"),
        [
            ("Spring, less than 15 ft down", {"spring"}),
            ("July and August, deep", {"summer"}),
            ("Autumn", {"fall"}),
            ("Sept. to Dec.", {"fall", "winter"}),
            ("Deep water", set()),
        ],
    )
    def test_seasons_are_read_from_the_words(self, words, seasons):
        assert seasons_named(words) == seasons
