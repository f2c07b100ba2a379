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
