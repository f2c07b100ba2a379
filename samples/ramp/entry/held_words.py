"""Why an entry waits for the office, in a sentence fit to show."""

HELD_WORDS = {
    "vial_taken": "Another fish is logged in this vial.",
    "unknown_vial": "No vial with this number was printed.",
    "wrong_check_digit": "The number fails its check digit.",
    "no_vial_number": "The vial number is missing or can't be read.",
    "needs_answer": "A value looks unlikely and was not confirmed on the phone.",
    "void_vial": "This vial is void or lost.",
    "no_otolith": "The office received this vial empty or without otoliths of one fish. Check "
    "the number, or correct what is inside.",
    "other_lake": "This vial belongs to another lake.",
    "entry_changed": "The same entry came twice with different values.",
    "unknown_party": "The trip of this fish has not arrived.",
    "unknown_fish": "The fish or count it changes has not arrived.",
    "already_received": "The vial is already at the office, so the office decides.",
    "withdrawn": "The fish it changes was deleted.",
    "not_foreseen": "This entry could not be processed. Tell the administrator.",
}
