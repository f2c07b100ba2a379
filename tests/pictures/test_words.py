"""What people read about pictures, word for word."""

import json

import pytest

from samples.pictures.queries import why_aside
from tests.pictures.making import address, jpeg, keep, upload_of


def test_a_refused_file_says_what_to_do(client, lake, reader):
    client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")

    answer = client.post(address("upload_one", lake), {"file": upload_of("a.jpg", b"words")})

    told = json.loads(answer.content)["sentence"]
    assert told == "This file is not a JPEG, PNG or TIFF picture."


def test_a_file_sent_before_under_another_name_says_which_it_was(client, lake, reader):
    client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
    client.post(address("upload_one", lake), {"file": upload_of("first.jpg", jpeg())})

    answer = client.post(address("upload_one", lake), {"file": upload_of("again.jpg", jpeg())})

    told = json.loads(answer.content)["sentence"]
    assert told == "Already uploaded as \u201cfirst.jpg\u201d."


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("a.jpg", "No vial number in the name."),
        ("2600019.jpg", "26 0001 9 is not a vial number: check its digits."),
        ("2699997.jpg", "No vial 26 9999 7 at this lake."),
        ("2600018 2600026.jpg", "The name has 2 vial numbers."),
    ],
)
def test_a_picture_aside_says_why(tmp_path, lake, vials, reader, name, sentence):
    picture = keep(tmp_path, lake, reader, name=name)

    assert why_aside([picture]) == {picture.pk: sentence}
