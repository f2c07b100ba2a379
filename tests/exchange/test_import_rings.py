"""The command that brings readings with measured rings in says what it would do, and does it."""

from datetime import timedelta

import pytest

from samples.models import Radius, Reading
from tests.lab.making import put_in_lab
from tests.people import NOW

GOOD = """vial,annuli,margin,method,read on,edge radius,radius 1,radius 2,radius 3
26 0001 8,3,4,whole,2026-05-20,950,400,700,900
26 0002 6,2,4,crack and burn,20 May 2026,800,390,640,
"""
WRONG_LABEL = "26 0001 7,3,4,whole,2026-05-20,950,400,700,900"


@pytest.fixture
def bring_in(bring_rings_in, monkeypatch, vials, party, white):
    """Return what brings a file of readings in, where two vials wait in the lab."""
    for vial in vials[:2]:
        put_in_lab(vial, party, white)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(days=20))
    return bring_rings_in


def test_shows_what_it_would_do_and_then_does_it(bring_in):
    shown = bring_in(GOOD)
    before = Reading.objects.count()
    done = bring_in(GOOD, "--commit")
    again = bring_in(GOOD, "--commit")

    assert (shown.report.rows, shown.report.readings, shown.report.unit) == (2, 2, "micrometers")
    assert before == 0
    assert done.report.readings == 2
    assert (again.report.readings, again.report.already) == (0, 2)
    assert Reading.objects.count() == 2


def test_names_bad_rows(bring_in):
    said = bring_in(GOOD.replace("640", "340") + WRONG_LABEL, "--commit")

    assert said.bad == [(3, "radius 2", "340"), (4, "vial", "26 0001 7")]
    assert all(f"Row {row}, {column}:" in said.text for row, column, _ in said.bad)
    assert said.was_refused
    assert not Reading.objects.exists()
    assert not Radius.objects.exists()


@pytest.mark.parametrize(
    ("text", "options", "code"),
    [
        ("vial,annuli\n2600018,3\n", [], "no_method"),
        (GOOD, ["--by", "nobody"], ""),
        (GOOD, ["--lake", "Far Pond"], "no_lake"),
    ],
)
def test_says_what_keeps_it_from_beginning(bring_in, text, options, code):
    said = bring_in(text, *options)

    assert (said.was_refused, said.code, said.report) == (True, code, None)
