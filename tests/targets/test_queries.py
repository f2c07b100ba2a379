"""Coverage: counted as a naive twin counts it, from the index alone, and told in words."""

import random
import re
from collections import Counter

import pytest
from django.db import connection

from samples.accounts.selectors import fish_counted_at
from samples.models import Donor, Fish, Progress, Target
from samples.targets.presenters import sentences
from samples.targets.presenters.shaping import coverage_of
from samples.targets.queries.choice import REACH_NOT_NOTED, CoverageSelection, options_of
from samples.targets.queries.counts import count_rows, tallies
from samples.targets.rules import Count
from tests.people import CAUGHT_ON
from tests.targets.fish import INCH, make_fish


@pytest.fixture
def choose(lake, season, white):
    def choice(**others):
        return CoverageSelection(
            **{"lake": lake, "season": season, "species": white, "bin_width": INCH} | others
        )

    return choice


@pytest.fixture
def look(lake, biologist, choose):
    def coverage(*, donors_named=True, **others):
        fish = fish_counted_at(biologist, lake)
        options = options_of(lake, CAUGHT_ON)
        return coverage_of(fish, options, choose(**others), donors_named=donors_named)

    return coverage


def want(season, species, inches, wanted, arm=None, *, width=INCH):
    return Target.objects.create(
        season=season,
        species=species,
        arm=arm,
        from_hundredths_mm=inches * INCH,
        below_hundredths_mm=inches * INCH + width,
        wanted=wanted,
    )


def cell(coverage, arm, inches):
    return next(
        one
        for one in coverage.cells
        if one.arm == arm and one.column.from_hundredths == inches * INCH
    )


@pytest.fixture
def mixed(lake, season, party, white, black, second_guide):
    """Three hundred fish of every kind, with a fixed seed."""
    draw = random.Random(26)
    arms = list(lake.arms.order_by("pk"))
    donors = [*Donor.objects.filter(lake=lake), None]
    for _ in range(300):
        arm = draw.choice(arms)
        make_fish(
            party,
            draw.choice([white, white, black]),
            draw.randint(50, 149) / 10,
            progress=draw.choice(list(Progress)),
            arm=arm,
            reach=draw.choice([None, *arm.reaches.all()]),
            donor=draw.choice(donors),
            sex=draw.choice("FMIU"),
            method=draw.choice(["angler_kept", "trap_net"]),
            withdrawn=draw.random() < 0.1,
        )
    return lake


def naive(choice):
    """Count one fish after the other, as on paper."""
    counted: Counter[tuple] = Counter()
    for fish in Fish.objects.select_related("reach", "arm", "donor"):
        if fish.withdrawn or fish.species != choice.species or fish.season != choice.season:
            continue
        if choice.sex and fish.sex != choice.sex:
            continue
        if choice.method and fish.method != choice.method:
            continue
        if choice.reach == REACH_NOT_NOTED and fish.reach:
            continue
        if choice.reach not in ("", REACH_NOT_NOTED) and (
            not fish.reach or fish.reach.name != choice.reach
        ):
            continue
        place = fish.length_hundredths_mm // choice.bin_width
        counted[fish.arm_id, place, fish.progress, fish.donor_id] += 1
    return counted


@pytest.mark.django_db
class TestCounts:
    @pytest.mark.parametrize(
        "narrowed",
        [
            {},
            {"sex": "F"},
            {"sex": "U"},
            {"method": "trap_net"},
            {"reach": "Lower"},
            {"reach": REACH_NOT_NOTED},
            {"sex": "M", "method": "angler_kept", "reach": "Upper"},
            {"bin_width": INCH // 2},
            {"bin_width": 2 * INCH},
        ],
    )
    def test_agree_with_a_naive_twin(self, mixed, biologist, choose, narrowed):
        options = options_of(mixed, CAUGHT_ON)
        ids = tuple(options.reach_ids.get(narrowed.get("reach", ""), ()))
        choice = choose(**narrowed, reach_ids=ids)

        rows = list(count_rows(fish_counted_at(biologist, mixed), choice))

        assert {row[:4]: row[4] for row in rows} == naive(choice)
        assert rows

    def test_count_nothing_for_those_who_may_not_see_it(self, mixed, office, choose):
        assert list(count_rows(fish_counted_at(office, mixed), choose())) == []

    def test_tallies_lose_no_fish(self, mixed, biologist, choose):
        rows = list(count_rows(fish_counted_at(biologist, mixed), choose()))

        counted = tallies(rows, Progress.AGE_AS_GIVEN)

        assert sum(tally.measured for tally in counted.values()) == sum(row[4] for row in rows)
        for tally in counted.values():
            assert sum(tally.by_donor.values()) == tally.at_least(Progress.AGE_AS_GIVEN)

    def test_a_bin_holds_its_lower_edge_and_not_its_upper(self, party, white, look):
        for inches in (9.9, 10.0, 10.9, 11.0):
            make_fish(party, white, inches)

        coverage = look()

        names = [column.name for column in coverage.columns]
        assert names == ["9.0-9.9 in", "10.0-10.9 in", "11.0-11.9 in"]
        assert [one.counted for one in coverage.all_arms] == [1, 2, 1]


def plan_of(query):
    sql, params = query.query.sql_with_params()
    explain = "EXPLAIN QUERY PLAN" if connection.vendor == "sqlite" else "EXPLAIN"
    with connection.cursor() as cursor:
        cursor.execute(f"{explain} {sql}", params)
        return "\n".join(str(row) for row in cursor.fetchall())


@pytest.mark.django_db
class TestIndex:
    @pytest.mark.sqlite
    @pytest.mark.parametrize(
        "narrowed", [{}, {"sex": "F"}, {"method": "trap_net"}, {"reach": REACH_NOT_NOTED}]
    )
    def test_sqlite_reads_the_covering_index_alone(self, mixed, biologist, choose, narrowed):
        plan = plan_of(count_rows(fish_counted_at(biologist, mixed), choose(**narrowed)))

        assert "USING COVERING INDEX fish_coverage" in plan


INDEX_ONLY = r"index only scan using fish_coverage\b"


@pytest.mark.postgres
@pytest.mark.django_db
class TestIndexOnPostgresql:
    @pytest.mark.parametrize(
        "narrowed", [{}, {"sex": "F"}, {"method": "trap_net"}, {"reach": REACH_NOT_NOTED}]
    )
    def test_needs_the_index_and_no_row(self, mixed, biologist, choose, narrowed):
        # So few rows are read as fast without it: take the other ways away, till the test ends.
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT indexname FROM pg_indexes WHERE tablename = 'samples_fish' "
                "AND indexdef LIKE 'CREATE INDEX%' AND indexname <> 'fish_coverage'"
            )
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP INDEX "{name}"')
            cursor.execute("SET LOCAL enable_seqscan = off")
            cursor.execute("SET LOCAL enable_bitmapscan = off")

        plan = plan_of(count_rows(fish_counted_at(biologist, mixed), choose(**narrowed)))

        assert re.search(INDEX_ONLY, plan, re.IGNORECASE)


@pytest.mark.django_db
class TestCells:
    def test_counts_what_is_aged_and_what_is_in_hand(self, party, white, season, brindle, look):
        want(season, white, 10, 5, brindle)
        make_fish(party, white, 10.2, count=2)
        make_fish(party, white, 10.4, progress=Progress.RECEIVED)
        make_fish(party, white, 10.4, progress=Progress.MEASURED, count=9)

        one = cell(look(), "Brindle", 10)

        assert (one.counted, one.need.short, one.need.in_hand, one.state) == (2, 3, 1, "short")

    @pytest.mark.parametrize(("count", "n"), [("logged", 4), ("received", 3), ("aged", 2)])
    def test_counts_as_far_as_is_asked(self, party, white, look, count, n):
        make_fish(party, white, 10.2, progress=Progress.LOGGED)
        make_fish(party, white, 10.2, progress=Progress.RECEIVED)
        make_fish(party, white, 10.2, progress=Progress.ONE_READER)
        make_fish(party, white, 10.2, progress=Progress.AGE_AS_GIVEN)

        one = cell(look(count=Count(count)), "Brindle", 10)

        assert one.counted == n

    def test_marks_ages_by_one_reader_and_ages_as_given(self, party, white, look):
        make_fish(party, white, 10.2, progress=Progress.ONE_READER, donor=None)
        make_fish(party, white, 10.2, progress=Progress.AGE_AS_GIVEN, donor=None)

        one = cell(look(), "Brindle", 10)

        assert one.letters == "r g"

    def test_a_cell_without_a_floor_has_no_mark(self, party, white, season, look):
        want(season, white, 10, 10)
        make_fish(party, white, 10.2)

        coverage = look()
        one = cell(coverage, "Brindle", 10)

        assert (one.need, one.stone, one.state) == (None, (), "counted")
        assert coverage.all_arms[0].need.short == 9

    def test_the_bottom_row_is_held_against_the_lake_wide_target(
        self, party, white, season, lake, look
    ):
        want(season, white, 10, 10)
        for arm in lake.arms.all():
            want(season, white, 10, 2, arm)
        make_fish(party, white, 10.2, count=8)

        coverage = look()

        assert coverage.all_arms[0].need.short == 2
        assert coverage.short == 4
        assert coverage.short_beyond_lake_wide == 2
        assert [(ask.place, ask.more) for ask in coverage.still_needed] == [
            ("Cutbank", 2),
            ("Hobbin", 2),
        ]

    def test_fish_beyond_a_floor_fill_no_other_bin(self, party, white, season, brindle, look):
        want(season, white, 9, 3, brindle)
        want(season, white, 10, 3, brindle)
        make_fish(party, white, 9.5, count=7)

        total = look().rows[0].total

        assert (total.need.counted, total.need.wanted, total.need.short) == (3, 6, 3)

    def test_a_target_of_several_bins_marks_none(self, party, white, season, brindle, look):
        want(season, white, 10, 5, brindle, width=2 * INCH)
        make_fish(party, white, 10.2)

        coverage = look()

        assert coverage.other_bins
        assert not coverage.has_targets

    def test_wider_bins_add_targets_up(self, party, white, season, brindle, look):
        want(season, white, 10, 2, brindle)
        want(season, white, 11, 3, brindle)

        coverage = look(bin_width=2 * INCH)

        assert [one.need.wanted for one in coverage.rows[0].cells] == [5]

    def test_a_bin_where_fish_were_only_measured_has_no_column(self, party, white, look):
        make_fish(party, white, 4.2, progress=Progress.MEASURED)
        make_fish(party, white, 10.2)

        coverage = look()

        assert [one.from_text for one in coverage.columns] == ["10.0"]
        assert coverage.tally.measured == 2


@pytest.mark.django_db
class TestDonors:
    def test_are_named_above_half(self, party, white, second_guide, look):
        make_fish(party, white, 10.2, count=3)
        make_fish(party, white, 10.2, count=2, donor=Donor.objects.get(person=second_guide))

        share = cell(look(), "Brindle", 10).share

        assert (share.percent, share.donor) == (60, "R. Ostrow")

    @pytest.mark.parametrize(("of_one", "of_other"), [(2, 2), (1, 0)])
    def test_are_not_named_up_to_half_nor_for_one_fish(
        self, party, white, second_guide, look, of_one, of_other
    ):
        make_fish(party, white, 10.2, count=of_one)
        make_fish(party, white, 10.2, count=of_other, donor=Donor.objects.get(person=second_guide))

        assert cell(look(), "Brindle", 10).share is None

    def test_fish_of_nobody_named_are_no_donors(self, party, white, look):
        make_fish(party, white, 10.2, count=3, donor=None)

        assert cell(look(), "Brindle", 10).share is None

    def test_are_not_named_to_those_who_may_not_see_them(self, party, white, look):
        make_fish(party, white, 10.2, count=3)

        assert cell(look(donors_named=False), "Brindle", 10).share.donor == "one donor"

    def test_of_a_few_fish_of_an_arm_are_no_warning(self, party, white, look):
        make_fish(party, white, 10.2, count=4)

        assert sentences.arms_of_one_donor(look()) == []
        make_fish(party, white, 10.2)
        assert len(sentences.arms_of_one_donor(look())) == 1
