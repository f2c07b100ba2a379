"""Targets by sex, and what of them nets are to bring: counted, asked for and edited."""

import pytest

from samples.asks.presenters.draft import draft_of
from samples.models import Fish, LakeSpecies, Target
from samples.models.party import Method
from samples.targets.presenters.for_guides import needed_at
from samples.targets.queries.changes import target_changes
from samples.targets.rules import BinNeed, FishByPart, Need, NeedByPart
from samples.targets.services import save_targets
from samples.units import LengthUnit
from tests.people import INCH, NOW
from tests.targets.fish import make_fish
from tests.targets.pages import want

TODAY = NOW.date()
TEN = 10 * INCH


def need(wanted, counted, waiting=0, *, parts, have=None, in_hand=None):
    return Need(
        wanted,
        counted,
        waiting,
        NeedByPart(FishByPart(**parts), FishByPart(**(have or {})), FishByPart(**(in_hand or {}))),
    )


class TestNeed:
    @pytest.mark.parametrize(
        ("counted", "of_nets", "nets", "donors"),
        [(0, 0, 4, 6), (5, 0, 4, 1), (8, 0, 2, 0), (5, 4, 0, 5), (7, 7, 0, 3), (10, 0, 0, 0)],
    )
    def test_donors_are_asked_for_what_nets_do_not_owe(self, counted, of_nets, nets, donors):
        found = need(10, counted, parts={"from_nets": 4}, have={"from_nets": of_nets})

        assert (found.nets_owe, found.to_collect - found.nets_owe) == (nets, donors)

    def test_a_target_met_in_number_is_short_of_a_sex(self):
        found = need(10, 10, parts={"females": 5, "males": 5}, have={"females": 3, "males": 7})

        assert (found.short, found.short_with_sexes, found.to_collect) == (0, 2, 2)

    def test_a_fish_in_hand_without_a_sex_is_waited_for(self):
        found = need(10, 8, 2, parts={"females": 5}, have={"females": 3}, in_hand={"no_sex": 2})

        assert (found.short_with_sexes, found.in_hand, found.to_collect) == (2, 2, 0)

    def test_nets_owe_the_lake_only_what_they_do_not_owe_its_arms(self):
        lake = need(10, 0, parts={"from_nets": 5})
        floors = (need(3, 0, parts={"from_nets": 3}), need(3, 0, parts={}))

        found = BinNeed(lake, floors)

        assert (found.to_collect_in_any_arm, found.nets_owe_in_any_arm, found.nets_owe) == (4, 2, 5)

    def test_nets_owe_of_arm_minimums_what_these_leave_nothing_of(self):
        lake = need(10, 0, parts={"from_nets": 8})
        floors = (need(4, 0, parts={"from_nets": 1}), need(6, 1, parts={}))

        found = BinNeed(lake, floors)

        assert (found.to_collect_in_any_arm, found.nets_owe_of_floors) == (1, (2, 5))
        assert (found.nets_owe, found.to_collect - found.nets_owe) == (8, 2)


@pytest.fixture
def ten_inch(season, white):
    """Want ten fish of 10 in, four of them from nets, five of each sex."""
    want(season, white, 10, 10)
    [target] = Target.objects.all()
    target.from_nets, target.females, target.males = 4, 5, 5
    target.save()
    return target


def by_sex(lake, white):
    LakeSpecies.objects.filter(lake=lake, species=white).update(targets_by_sex=True)


class TestPages:
    def test_coverage_counts_by_source_and_by_sex(self, page, lake, ten_inch, party, white):
        by_sex(lake, white)
        make_fish(party, white, 10.2, count=3, sex="F")
        for one in make_fish(party, white, 10.4, count=2, sex="M"):
            Fish.objects.filter(pk=one.pk).update(method=Method.TRAP_NET)

        found = page("coverage").context
        [row] = found["share_rows"]

        assert (row.donors.counted, row.donors.wanted, row.donors.owed) == (3, 6, 3)
        assert (row.nets.counted, row.nets.wanted, row.nets.owed) == (2, 4, 2)
        assert (row.females.counted, row.females.wanted) == (3, 5)
        assert [(one.more, one.nets) for one in found["coverage"].still_needed] == [(5, 2)]

    def test_guides_are_asked_for_the_donors_share_and_the_short_sex(
        self, lake, ten_inch, party, white
    ):
        by_sex(lake, white)
        make_fish(party, white, 10.2, count=5, sex="M")

        [line] = needed_at(lake, TODAY)[0]["species"][0]["needed"]

        assert (line["more"], line["sex"]) == (1, "females first")

    def test_what_nets_alone_owe_is_neither_asked_of_guides_nor_enough(
        self, lake, ten_inch, party, white
    ):
        make_fish(party, white, 10.2, count=6)

        [asked] = needed_at(lake, TODAY)[0]["species"]
        draft = draft_of(lake, TODAY, None)

        assert (asked["needed"], asked["enough"]) == ([], [])
        assert (draft.lines, draft.enough) == ((), "")

    def test_a_lake_that_sets_none_by_sex_asks_for_none(self, page, lake, ten_inch, party, white):
        make_fish(party, white, 10.2, count=10, sex="M")

        assert page("coverage").context["coverage"].to_collect == 0
        assert {str(part) for part, *_ in page("targets").context["parts"]} == {
            "wanted",
            "from_nets",
        }


class TestEditing:
    @staticmethod
    def send(client, lake, biologist, part, typed, arm="lake"):
        client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
        address = f"/lakes/{lake.slug}/targets/?part={part}"
        return client.post(address, {f"wanted-{TEN}-{arm}": typed})

    def test_what_nets_are_to_bring_is_saved_with_who_did(
        self, client, lake, biologist, ten_inch, season, white
    ):
        answer = self.send(client, lake, biologist, "from_nets", "6")

        ten_inch.refresh_from_db()
        last = target_changes(season, white, LengthUnit.INCH)[0]
        assert (answer.status_code, ten_inch.from_nets, ten_inch.wanted) == (302, 6, 10)
        assert [(one.before, one.after) for one in last.changes] == [(4, 6)]

    @pytest.mark.parametrize(
        ("part", "typed", "code"),
        [
            ("from_nets", "11", "above_target"),
            ("females", "6", "sexes_above_target"),
            ("from_nets", "-1", "min_value"),
        ],
    )
    def test_more_than_the_target_is_refused_beside_its_box(
        self, client, lake, biologist, ten_inch, white, part, typed, code
    ):
        by_sex(lake, white)

        answer = self.send(client, lake, biologist, part, typed)

        errors = answer.context["table"].errors.as_data()[f"wanted-{TEN}-lake"]
        assert (answer.status_code, [one.code for one in errors]) == (422, [code])

    def test_a_share_of_no_target_is_refused(self, client, lake, biologist, ten_inch, brindle):
        answer = self.send(client, lake, biologist, "from_nets", "1", arm=brindle.pk)

        errors = answer.context["table"].errors.as_data()[f"wanted-{TEN}-{brindle.pk}"]
        assert [one.code for one in errors] == ["no_target"]

    def test_a_lower_target_takes_its_shares_along(self, ten_inch, season, white, biologist):
        save_targets(season, white, wanted={(None, TEN): 3}, width=INCH, actor=biologist, now=NOW)

        ten_inch.refresh_from_db()
        assert (ten_inch.from_nets, ten_inch.females, ten_inch.males) == (3, 1, 1)
