"""What stands in a report, word for word."""

import pytest

from samples.reports import queries, services
from samples.reports.blocks import assemble
from tests.factories import make_fish
from tests.people import NOW
from tests.reports.rows import make_report

pytestmark = pytest.mark.django_db


@pytest.fixture
def blocks(lake, biologist, party, white):
    """Make the blocks of a report by heading."""
    make_fish(party, white)
    report = make_report(lake, biologist)
    rows = queries.blocks_of(report)
    made = assemble(report, rows, draft=1, now=NOW, tell=lambda percent, step: None)
    return {one.heading: one for one in made.document.blocks}


def test_methods_say_how_fish_were_collected_and_aged(blocks):
    said = {part.heading: " ".join(part.paragraphs) for part in blocks["Methods"].parts}

    assert said["Collection"].startswith("Fish were sampled from Lake Orrinbeck in season 2026, 1 ")
    assert "Total length was measured to 0.1 in." in said["Collection"]
    assert "birthday of January 1 (VanderKooy)" in said["Aging"]
    assert "White crappie: annuli form from April 1 to June 30 at this lake" in said["Aging"]
    assert "One reader's age stands where no other reader disagreed." in said["Aging"]
    assert "(Harris et al. 2020)" in said["Intervals and software"]


def test_references_hold_what_the_methods_cite(blocks):
    [listed] = blocks["References"].parts

    assert any(one.startswith("VanderKooy, S., editor.") for one in listed.paragraphs)
    assert any("Nature 585:357-362" in one for one in listed.paragraphs)


def test_samples_are_counted_by_source(blocks):
    block = blocks["Samples by source"]

    assert block.answer == "1 fish from 1 trip or net set, 0 of them aged"
    assert blocks["Coverage"].missing.startswith("No targets are set for this season")


def test_title_taken_says_what_to_enter(lake, biologist):
    make_report(lake, biologist)

    with pytest.raises(services.ReportRefused) as told:
        make_report(lake, biologist)

    assert told.value.sentence == (
        "This lake has a report called Crappie, 2026. Enter another title, such as Crappie, "
        "2026, draft."
    )
