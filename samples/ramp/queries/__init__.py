"""What the ramp needs to know: questions to ask, the next number, the last fish, held entries."""

from samples.ramp.queries.at_the_ramp import (
    EndsSo,
    PartyCount,
    arms_of,
    count_of,
    date_questions,
    fish_in_vials,
    last_fish_of,
    next_number_for,
    open_party_of,
    own_fish,
    party_of_page,
    questions_about,
    season_for,
    species_on_form,
    unmeasured_in,
    vial_questions,
    vials_ending,
)
from samples.ramp.queries.held import (
    Story,
    Told,
    stories_of,
    waiting_for_a_vial,
)
from samples.ramp.queries.pick_lists import pick_lists

__all__ = [
    "EndsSo",
    "PartyCount",
    "Story",
    "Told",
    "arms_of",
    "count_of",
    "date_questions",
    "fish_in_vials",
    "last_fish_of",
    "next_number_for",
    "open_party_of",
    "own_fish",
    "party_of_page",
    "pick_lists",
    "questions_about",
    "season_for",
    "species_on_form",
    "stories_of",
    "unmeasured_in",
    "vial_questions",
    "vials_ending",
    "waiting_for_a_vial",
]
