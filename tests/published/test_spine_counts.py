"""Dorsal spines of crappies.

Source (check D1): state and encyclopaedic identification pages, secondary and of uneven quality:
white crappie 5 to 6, usually 6; black crappie 7 to 8; hybrids commonly 6 to 7, overlapping both.
A count that does not fit asks for a second look and never changes the species.
"""

import pytest

from samples.rules.plausible import spine_question
from samples.rules.species_catalogue import SPECIES

RANGES = {species.name: species.spines for species in SPECIES if species.spines}


@pytest.mark.parametrize(
    ("species", "spines", "flagged"),
    [
        ("White crappie", 6, False),
        ("White crappie", 8, True),
        ("Black crappie", 7, False),
        ("Black crappie", 5, True),
        ("Hybrid crappie", 6, False),
        ("Hybrid crappie", 7, False),
    ],
)
def test_asks_where_the_count_does_not_fit(species, spines, flagged):
    question = spine_question(spines, *RANGES[species], species)

    assert (question is not None) is flagged
