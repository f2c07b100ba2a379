"""What the page of the search box says, word for word."""

import pytest
from django.utils.html import strip_tags

from tests.people import make_vials


@pytest.fixture
def search(client):
    def search_as(person, text):
        client.force_login(person)
        answer = client.get("/lakes/lake-orrinbeck/search/", {"q": text})
        return " ".join(strip_tags(answer.content.decode()).split())

    return search_as


def test_nothing_was_found(search, reader, biologist):
    of_reader, of_biologist = search(reader, "zzz"), search(biologist, "zzz")

    assert "Nothing found for zzz" in of_reader
    assert "Enter a vial number or its last digits, such as 147, or a page, such as" in of_reader
    assert (
        "such as 147, a tag number, a species or an arm, a saved view, a person, or a page"
        in of_biologist
    )


def test_a_number_with_a_wrong_check_digit(search, office, vials):
    wrong = vials[11].number[:-1] + str((int(vials[11].number[-1]) + 1) % 10)

    assert "Check every digit against the label." in search(office, wrong)


def test_a_list_that_may_be_longer(search, office, season, vials):
    make_vials(season, first=31, count=90, by=office)

    assert "There may be more. Type more digits or letters." in search(office, "1")
