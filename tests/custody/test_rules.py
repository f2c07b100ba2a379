"""The table of moves, the slots of a box, and the days of a medium."""

from datetime import date

import pytest

from samples.custody import rules
from samples.models import Vial
from samples.rules import vial_moves


class TestMoves:
    @pytest.mark.parametrize("name", ["CLEAR", "ARCHIVE", "TAKE_OUT"])
    @pytest.mark.parametrize("state", Vial.State.values)
    def test_a_scan_is_allowed_or_says_what_to_do_instead(self, name, state):
        move = getattr(vial_moves, name)

        refusal = move.refusal(state, vial="26 0001 8", where="issued to R. Ostrow")

        assert (refusal == "") == (state in move.starts)
        assert "{" not in refusal

    def test_the_table_names_states_that_there_are(self):
        moves = [one for one in vars(vial_moves).values() if isinstance(one, vial_moves.Move)]

        named = {state for move in moves for state in {*move.starts, *move.instead}}
        assert named == set(Vial.State.values)


class TestSlots:
    def test_are_filled_row_by_row(self):
        assert list(rules.slots_of(2, 3)) == ["A1", "A2", "A3", "B1", "B2", "B3"]

    @pytest.mark.parametrize("typed", ["b3", " B 3", "B-3", "B03", "b, 3"])
    def test_are_read_as_people_write_them(self, typed):
        assert rules.read_slot(typed, 2, 3) == "B3"

    @pytest.mark.parametrize("typed", ["C1", "A4", "3", "B", "B0", "BB3", "A100", "?"])
    def test_that_a_box_does_not_have_are_none(self, typed):
        assert rules.read_slot(typed, 2, 3) is None

    @pytest.mark.parametrize(
        ("taken", "start", "free"),
        [
            ([], "", "A1"),
            (["A1"], "", "A2"),
            (["A1", "B3"], "B3", "A2"),
            (["A1"], "B1", "B1"),
            (["A1", "A2", "A3", "B1", "B2", "B3"], "A2", None),
        ],
    )
    def test_the_next_free_one_comes_after_the_last_and_around(self, taken, start, free):
        assert rules.next_free(2, 3, taken, start) == free


class TestMedium:
    def test_the_usual_one_is_ready_and_over_cleared_on_its_days(self):
        started = date(2026, 4, 20)

        assert rules.USUAL_MEDIUM.ready_on(started) == date(2026, 4, 30)
        assert rules.USUAL_MEDIUM.rinse_by(started) == date(2026, 5, 18)

    def test_without_a_medium_otoliths_are_ready_at_once_and_never_over_cleared(self):
        started = date(2026, 4, 20)

        assert rules.Medium(0, 0, 10, 28).ready_on(started) == started
        assert rules.Medium(0, 0, 10, 28).rinse_by(started) is None

    @pytest.mark.parametrize(
        ("parts", "words"),
        [
            ((3, 2), "glycerin 3 : ethanol 2"),
            ((1, 0), "glycerin alone"),
            ((0, 0), "no medium"),
        ],
    )
    def test_is_named_by_its_parts(self, parts, words):
        assert rules.medium_text(*parts) == words
