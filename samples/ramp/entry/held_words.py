"""Why an entry waits for the office, in a sentence fit to show."""

HELD_WORDS = {
    "vial_taken": "Another fish is logged against this vial.",
    "unknown_vial": "No vial with this number was printed.",
    "wrong_check_digit": "The number is not one of our vial numbers.",
    "no_vial_number": "The vial number is missing, or is no number of a vial.",
    "needs_answer": "A value looks unlikely, and nobody confirmed it on the phone.",
    "void_vial": "This vial was declared void or lost.",
    "no_otolith": "The office noted this vial as empty, or as no otolith of one fish. "
    "Check the number, or correct what is inside the vial.",
    "other_lake": "This vial belongs to another lake.",
    "entry_changed": "The same entry came twice, with different words.",
    "unknown_party": "The trip of this fish never arrived.",
    "unknown_fish": "The fish or count that this is about never arrived.",
    "already_received": "The vial is at the office already, so the office decides.",
    "withdrawn": "The fish that this is about was deleted.",
    "not_foreseen": "This entry could not be worked on here. Tell the administrator.",
}
