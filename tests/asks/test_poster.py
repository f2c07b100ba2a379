"""The poster of a list: one page, with its words, and a code that leads where it says."""

import pytest

from samples.asks.pdf import Poster, PosterLine, poster_pdf
from tests.custody.test_kits import pages_of, symbols_on, text_of

ADDRESS = "https://earstone.example/still-needed/lake-orrinbeck/"
LONG = "White crappie and black crappie of 9 to 10.9 in, both males and females, and any age"


def poster(lines):
    return Poster(
        lake="Lake Orrinbeck",
        sent_on="May 6, 2026",
        lines=tuple(lines),
        enough="We have plenty of white crappie 9 to 10.9 in. " * 3,
        address=ADDRESS,
        code_says="Latest list",
    )


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_longest_list_stays_on_one_page_and_its_code_is_read_back(paper):
    lines = [PosterLine(f"{n} {LONG}", "Brindle and Hobbin", 8.0, None) for n in range(12)]

    made = poster_pdf(poster(lines), paper)

    assert len(pages_of(made)) == 1
    assert symbols_on(made) == [ADDRESS]
    said = text_of(made)
    assert all(f"{n} {LONG}" in said for n in range(12))


def test_a_list_open_at_both_ends_is_drawn():
    made = poster_pdf(poster([PosterLine("All fish", "Any arm", None, None)]), "letter")

    assert "All fish" in text_of(made)
