"""Finds English sentences that tests of behaviour expect word for word.

A test of behaviour asserts a code, a value or a row, so that a sentence can be put better without
touching it. What a person reads is expected in the files named test_words.py alone.
"""

import ast
import re
from pathlib import Path

TESTS = Path(__file__).parent
# Three words in a row: names of parts, statuses and codes have fewer.
SENTENCE = re.compile(r"[A-Za-z][a-z']*[,:;]? [a-z][a-z']*[,:;]? [a-z]+")


def is_words(path):
    """Return whether a file of tests has the words that people read as its subject."""
    return path.stem.startswith("test_words")


def expected_sentences(source):
    """Return the line and the text of each sentence that a test's source expects."""
    found = {}
    for node in ast.walk(ast.parse(source)):
        for expected in _expectations(node):
            for part in ast.walk(expected):
                if isinstance(part, ast.Constant) and _is_sentence(part.value):
                    found[part.lineno, part.col_offset] = part.value
    return [(line, text) for (line, _), text in sorted(found.items())]


def _is_sentence(value):
    return isinstance(value, str) and SENTENCE.search(value) is not None


def _expectations(node):
    """Return what a node compares with: all of an assert but its message, a pattern of raises."""
    if isinstance(node, ast.Assert):
        return [node.test]
    if isinstance(node, ast.keyword) and node.arg == "match":
        return [node.value]
    return []


def sentences_by_room():
    """Return how many sentences the tests of behaviour of each room expect."""
    counts: dict[str, int] = {}
    for path in sorted(TESTS.rglob("test_*.py")):
        if is_words(path):
            continue
        room = path.relative_to(TESTS).parts[0] if path.parent != TESTS else "tests"
        found = expected_sentences(path.read_text(encoding="utf-8"))
        if found:
            counts[room] = counts.get(room, 0) + len(found)
    return counts
