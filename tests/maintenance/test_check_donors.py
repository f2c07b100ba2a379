"""Looking over lists for guides and what donors are told: contradictions are found."""

import pytest

from samples.donors import services
from samples.maintenance.check_donors import DONOR_CHECKS
from samples.models import Ask, AskedFish, Donor, DonorAddress, DonorMail, DonorMessage
from tests.asks.test_asks import send
from tests.people import NOW


def found():
    return [(one.code, one.where) for check in DONOR_CHECKS for one in check()]


@pytest.fixture
def sound(season, biologist, brindle, guide, lake):
    """Return a list that went out, and a message that was mailed."""
    ask = send(season, biologist, brindle)
    donor = Donor.objects.get(person=guide)
    lake.mails_donors = True
    lake.save()
    services.note_address(donor, email="a@example.org", actor=guide, now=NOW)
    services.post_message(lake, text="Thanks", by_mail=True, actor=biologist, now=NOW)
    assert DonorMail.objects.count() == 1
    assert found() == []
    return ask


def test_a_list_without_its_lines_or_its_people(sound, second_guide):
    where = (str(sound.pk),)
    sound.asked.add(second_guide)
    assert found() == [("ask_of_other_people", where)]
    sound.asked.remove(second_guide)
    AskedFish.objects.all().delete()
    assert found() == [("ask_without_lines", where)]


def test_a_list_from_before_people_were_noted_is_sound(sound):
    Ask.objects.get().asked.clear()
    assert found() == []


def test_rows_of_another_lake(sound, other_lake):
    line = AskedFish.objects.get()
    AskedFish.objects.update(arm=other_lake.arms.first())
    DonorMessage.objects.update(lake=other_lake)
    assert found() == [
        ("asked_in_another_lake", (str(line.pk),)),
        ("mail_to_another_lake", (str(DonorMail.objects.get().pk),)),
    ]


def test_a_forgotten_donor_whose_name_or_address_is_back(sound, biologist):
    address = DonorAddress.objects.get()
    donor = address.donor
    services.forget_donor(donor, with_photos=False, actor=biologist, now=NOW)
    assert found() == []
    Donor.objects.filter(pk=donor.pk).update(name="R. Ostrow")
    assert found() == [("forgotten_donor_named", (str(donor.pk),))]
