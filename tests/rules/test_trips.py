"""What is asked when a trip changes its arm, and when it ends."""

import pytest

from samples.rules import trips


@pytest.mark.parametrize(
    ("after", "has_fish", "asks"),
    [("Brindle", True, False), ("Alder", True, True), ("Alder", False, False)],
)
def test_asks_about_another_arm_once_a_trip_has_fish(after, has_fish, asks):
    assert trips.asks_about_arm("Brindle", after, has_fish) is asks


def test_one_question_at_a_time_about_the_end_of_a_trip():
    vials = trips.VialsOfTrip(numbers=["2600015", "2600031"], skipped=["2600023"])
    questions = trips.closing_questions(3, "", vials)

    open_now = [
        [one.code for one in trips.first_unanswered(questions, answered)]
        for answered in ([], ["vials_skipped"], ["vials_skipped", "count_differs"])
    ]

    assert open_now == [["vials_skipped"], ["count_differs"], []]
