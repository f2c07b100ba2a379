"""Finds English sentences that tests of behaviour expect word for word.

A test of behaviour asserts a code, a value or a row, so that a sentence can be put better without
touching it. What a person reads is expected in the files named test_words.py alone.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).parent
# Three words in a row: names of parts, statuses and codes have fewer.
SENTENCE = re.compile(r"[A-Za-z][a-z']*[,:;]? [a-z][a-z']*[,:;]? [a-z]+")
# Calls whose arguments are compared; those of others are what a test gives to the code.
COMPARING = {"startswith", "endswith", "count", "index", "search", "fullmatch", "match", "escape"}


def is_words(path):
    """Return whether a file of tests has the words that people read as its subject."""
    return path.stem.startswith("test_words")


def expected_sentences(source):
    """Return the line and the text of each sentence that a test's source expects."""
    tree = ast.parse(source)
    found: dict[tuple[int, int], str] = {}
    for node in ast.walk(tree):
        for expected in _expectations(node):
            found |= _sentences(expected)
        if isinstance(node, ast.FunctionDef):
            for expected in _expected_by_name(node):
                found |= _sentences(expected)
    return [(line, text) for (line, _), text in sorted(found.items())]


def _sentences(expected):
    return {
        (part.lineno, part.col_offset): part.value
        for part in _parts(expected)
        if isinstance(part, ast.Constant) and _is_sentence(part.value)
    }


def _parts(expected: ast.AST) -> Iterator[ast.AST]:
    """Yield an expectation and all in it but keys, which only lead to a value."""
    yield expected
    for child in ast.iter_child_nodes(expected):
        if not isinstance(expected, ast.Subscript) or child is not expected.slice:
            yield from _parts(child)


def _is_sentence(value):
    return isinstance(value, str) and SENTENCE.search(value) is not None


def _expectations(node):
    """Return what a node compares with: all of an assert but its message, a pattern of raises."""
    if isinstance(node, ast.Assert):
        return [node.test]
    if isinstance(node, ast.keyword) and node.arg == "match":
        return [node.value]
    return []


def _expected_by_name(test: ast.FunctionDef) -> Iterator[ast.expr]:
    """Yield what a test expects under a name: of a parameter of its own, or set before."""
    names = {
        name
        for node in ast.walk(test)
        for expected in _expectations(node)
        for name in _compared_names(expected)
    }
    for decorator in test.decorator_list:
        yield from (cell for name, cell in _parameters(decorator) if name in names)
    for node in ast.walk(test):
        # What a call gives back is the code's; what is written out is the test's.
        if isinstance(node, ast.Assign) and not isinstance(node.value, ast.Call):
            yield from [node.value] if _name_of(node.targets[0]) in names else []


def _compared_names(expected: ast.AST) -> Iterator[str]:
    if isinstance(expected, ast.Name):
        yield expected.id
    for child in _compared_parts(expected):
        yield from _compared_names(child)


def _compared_parts(expected: ast.AST) -> list[ast.AST]:
    """Return the parts of an expectation without what only leads to a value: arguments and keys."""
    if isinstance(expected, ast.Call):
        called = expected.func.attr if isinstance(expected.func, ast.Attribute) else ""
        return [expected.func, *(expected.args if called in COMPARING else [])]
    if isinstance(expected, ast.Subscript):
        return [expected.value]
    return list(ast.iter_child_nodes(expected))


def _parameters(decorator: ast.expr) -> Iterator[tuple[str, ast.expr]]:
    """Yield each value that parametrize gives, with the name of its parameter."""
    if not isinstance(decorator, ast.Call) or not ast.unparse(decorator.func).endswith(
        "parametrize"
    ):
        return
    given, rows = decorator.args[:2]
    names = [part.value for part in ast.walk(given) if isinstance(part, ast.Constant)]
    for row in rows.elts if isinstance(rows, ast.List) else []:
        cells = row.args if isinstance(row, ast.Call) else [row]
        if len(names) > 1 and isinstance(row, ast.Tuple):
            cells = row.elts
        yield from zip(names, cells, strict=False)


def _name_of(target: ast.expr) -> str:
    return target.id if isinstance(target, ast.Name) else ""


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
