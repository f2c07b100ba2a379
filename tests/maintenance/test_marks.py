"""Marks that no longer say what their reading says are found."""

import pytest

from samples.maintenance.check import check_data
from samples.models import MarkedRadius, Picture, Reading
from samples.pictures.services import CannotChangePicture, file_picture
from tests.lab.making import put_in_lab, read
from tests.lab.marked import CORE, EDGE, RINGS_PX, make_picture
from tests.people import NOW


@pytest.fixture
def marked(vials, party, white, reader):
    """Return a radius with four annuli, on a reading of four."""
    put_in_lab(vials[0], party, white)
    return MarkedRadius.objects.create(
        reading=read(vials[0], reader, 4, 4).reading,
        picture=make_picture(vials[0], reader),
        core_x_px=CORE[0],
        core_y_px=CORE[1],
        edge_x_px=EDGE[0],
        edge_y_px=EDGE[1],
        annuli_px=list(RINGS_PX),
    )


def found():
    return {one.code: one.where for one in check_data(now=NOW) if one.code.startswith("marks_")}


def test_marks_as_they_should_be_are_no_finding(marked):
    assert found() == {}


def test_marks_beside_another_count(marked):
    Reading.objects.update(annuli=5)

    assert found() == {"marks_beside_the_count": (str(marked.pk),)}


def test_marks_on_a_picture_of_another_vial(marked, vials):
    Picture.objects.filter(pk=marked.picture_id).update(vial=vials[1])

    assert found() == {"marks_on_another_vial": (str(marked.pk),)}


@pytest.mark.parametrize("place", [1, None])
def test_a_marked_picture_stays_with_its_vial(marked, vials, reader, place):
    vial = None if place is None else vials[place]

    with pytest.raises(CannotChangePicture) as refused:
        file_picture(
            picture=marked.picture,
            vial=vial,
            side="left",
            note="",
            objective=marked.picture.objective,
            actor=reader,
            now=NOW,
        )

    assert (refused.value.code, refused.value.field) == ("marked", "vial")
    assert Picture.objects.get(pk=marked.picture_id).vial == vials[0]
