"""The command that brings readings with measured rings in says what it would do, and does it."""

from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command

from samples.models import Radius, Reading
from tests.lab.making import put_in_lab
from tests.people import NOW

GOOD = """vial,annuli,margin,method,read on,edge radius,radius 1,radius 2,radius 3
26 0001 8,3,4,whole,2026-05-20,950,400,700,900
26 0002 6,2,4,crack and burn,20 May 2026,800,390,640,
"""
WRONG_LABEL = "26 0001 7,3,4,whole,2026-05-20,950,400,700,900"


@pytest.fixture
def bring_in(tmp_path, capsys, monkeypatch, vials, party, white, reader):
    """Write a file and import it; answer with what the command said."""
    for vial in vials[:2]:
        put_in_lab(vial, party, white)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(days=20))

    def run(text, *options):
        path = tmp_path / "rings.csv"
        path.write_text(text)
        given = ["--lake", "lake orrinbeck", "--by", reader.username, *options]
        try:
            call_command("import_rings", path, *given)
        except CommandError as problem:
            return capsys.readouterr().out + str(problem)
        return capsys.readouterr().out

    return run


def test_shows_what_it_would_do_and_then_does_it(bring_in):
    shown = bring_in(GOOD)
    before = Reading.objects.count()
    done = bring_in(GOOD, "--commit")
    again = bring_in(GOOD, "--commit")

    assert "2 readings for lake orrinbeck, radii in micrometres." in shown
    assert "Would write: 2 new readings with their rings" in shown
    assert "Nothing was written. Add --commit to write." in shown
    assert before == 0
    assert "Written: 2 new readings" in done
    assert "Written: 0 new readings" in again
    assert "2 were there already." in again
    assert Reading.objects.count() == 2


def test_names_bad_rows(bring_in):
    said = bring_in(GOOD.replace("640", "340") + WRONG_LABEL, "--commit")

    assert (
        "Row 3, radius 2: Radii must rise from the nucleus to the edge, and radius 1 is 390. "
        "Measure both again. Found: 340" in said
    )
    assert "Row 4, vial: 26 0001 7 is not one of our vial numbers." in said
    assert "2 things to put right; nothing was written." in said
    assert not Reading.objects.exists()
    assert not Radius.objects.exists()


@pytest.mark.parametrize(
    ("text", "options", "sentence"),
    [
        ("vial,annuli\n2600018,3\n", [], "There is no column that says how"),
        (GOOD, ["--by", "nobody"], "Nobody signs in as nobody."),
        (GOOD, ["--lake", "Far Pond"], "There is no lake called Far Pond."),
    ],
)
def test_says_what_keeps_it_from_beginning(bring_in, text, options, sentence):
    assert sentence in bring_in(text, *options)
