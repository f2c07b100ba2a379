"""Looking over what the lab keeps: what no table can refuse by itself is found."""

import pytest

from samples.lab import services
from samples.maintenance.check_lab import LAB_CHECKS
from samples.models import Age, Preparation, Reading
from tests.lab.making import put_in_lab, read
from tests.people import NOW


def found():
    return [(one.code, one.where) for check in LAB_CHECKS for one in check()]


@pytest.fixture
def decided(vials, party, white, reader, biologist):
    """Return a fish of which a section was asked for, made, read and decided on."""
    fish = put_in_lab(vials[0], party, white)
    read(vials[0], reader, 4, 1, needs_section=True)
    section = services.add_preparation(
        vial=vials[0], kind="section", facts={}, actor=reader, now=NOW
    )
    read(vials[0], biologist, 5, 1, method="section", preparation=section)
    services.decide_age(fish=fish, age_years=5, note="Section", actor=biologist, now=NOW)
    # Asked on since: the age that was decided stands.
    services.decide(fish=fish, outcome="third", note="Sure?", actor=biologist, now=NOW)
    return fish


def test_what_services_keep_is_sound(decided, biologist):
    assert found() == []
    services.decide(fish=decided, outcome="no_age", note="Edge", actor=biologist, now=NOW)
    assert found() == []
    services.undo_decision(fish=decided, actor=biologist, now=NOW)
    assert found() == []


def test_a_decided_age_that_is_not_as_decided(decided):
    Age.objects.update(age_years=6)
    assert found() == [("age_beside_decision", (str(Age.objects.get().pk),))]


def test_a_reading_of_a_preparation_of_another_vial_or_method(decided, vials):
    section = Preparation.objects.get()
    Reading.objects.filter(preparation=section).update(method="whole")
    of_it = ("reading_beside_preparation", (str(Reading.objects.get(preparation=section).pk),))
    assert found() == [of_it]
    Reading.objects.update(method="section")
    Preparation.objects.update(vial=vials[1])
    assert [code for code, _ in found()] == ["reading_beside_preparation", "request_of_other_vial"]


def test_a_preparation_of_another_lake_than_its_vial(decided, other_lake):
    Preparation.objects.update(lake=other_lake)
    assert [code for code, _ in found()] == ["preparation_of_other_lake"]
