"""What is known about numbers and vials."""

from samples.vials.queries.life import Step, life_of
from samples.vials.queries.numbers import (
    RunRow,
    digits_of,
    ends_of,
    label_of,
    labels_of,
    last_number,
    next_sequence,
    nudge_for,
    run_row,
    runs,
    season_for_labels,
)
from samples.vials.queries.vials import (
    Hand,
    Listed,
    Stretch,
    find,
    first_in_office,
    hands,
    last_received,
    logs_not_received,
    people_who_log,
    without_log,
)

__all__ = [
    "Hand",
    "Listed",
    "RunRow",
    "Step",
    "Stretch",
    "digits_of",
    "ends_of",
    "find",
    "first_in_office",
    "hands",
    "label_of",
    "labels_of",
    "last_number",
    "last_received",
    "life_of",
    "logs_not_received",
    "next_sequence",
    "nudge_for",
    "people_who_log",
    "run_row",
    "runs",
    "season_for_labels",
    "without_log",
]
