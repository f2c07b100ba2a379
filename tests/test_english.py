"""A wording may be improved without touching a test of behaviour: those assert codes and values."""

from tests.english import expected_sentences, sentences_by_room


def test_no_test_of_behaviour_expects_a_sentence_word_for_word():
    assert sentences_by_room() == {}


def test_what_counts_as_a_sentence():
    source = """
def test_one(page):
    assert "Give the month and the day." in page
    assert page == f"{page} fish were logged here", "a message for whoever reads the failure"
    assert page["needs_answer"] == "26 0001 8", page
    with pytest.raises(ValueError, match="no vial of ours"):
        save("a note that is typed")
"""

    assert [line for line, _ in expected_sentences(source)] == [3, 4, 6]


def test_what_is_expected_under_a_name_counts_and_what_is_typed_does_not():
    source = """
@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("ten or so", "Give one number alone."),
        pytest.param("as it was", "Give one number alone.", id="words"),
    ],
)
def test_one(page, typed, sentence):
    assert sentence in page(typed)
    told = f"{typed} is no number at all"
    assert page(typed).endswith(told)
    assert page(typed)["a name with spaces"] == 3
"""

    assert [line for line, _ in expected_sentences(source)] == [5, 6, 11]
