"""Every public function of the science is documented as numpydoc wants, and its example runs."""

import ast
import doctest
import inspect
import re
import textwrap

import numpy as np
import pytest

from tests.science.test_arguments import ESTIMATORS

# These sort or look up what was made: there is nothing to refuse.
NEVER_REFUSE = {"edge.month_of_formation", "edge.formation_window", "year_class.followed"}
ORDER = ["Parameters", "Returns", "Raises", "Notes", "References", "Examples"]


def sections_of(function):
    """Return the sections of a docstring by their heads, the summary under ""."""
    found: dict[str, list[str]] = {"": []}
    head = ""
    lines = inspect.getdoc(function).splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if re.fullmatch("-{3,}", below):
            head = line
            found[head] = []
        elif not re.fullmatch("-{3,}", line):
            found[head].append(line)
    return {name: "\n".join(rows) for name, rows in found.items()}


def names_described(section):
    """Return the names at the heads of a section's entries."""
    heads = [line for line in section.splitlines() if line and not line.startswith(" ")]
    return {name for line in heads for name in re.split(r", ?", line.split(" : ")[0])}


def codes_raised(function):
    """Return the codes of `CannotEstimate` that stand in the function itself."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(inspect.unwrap(function))))
    return {
        call.args[0].value
        for call in ast.walk(tree)
        if isinstance(call, ast.Call)
        and getattr(call.func, "id", "") == "CannotEstimate"
        and isinstance(call.args[0], ast.Constant)
    }


@pytest.mark.parametrize("name", sorted(ESTIMATORS))
def test_sections_are_complete_and_in_order(name):
    function = ESTIMATORS[name]
    sections = sections_of(function)
    described = [one for one in sections if one]

    assert described == [one for one in ORDER if one in sections]
    assert names_described(sections.get("Parameters", "")) == set(
        inspect.signature(function).parameters
    )
    assert sections.get("Returns")
    assert ">>> " in sections.get("Examples", "")
    assert ("Error" in sections.get("Raises", "")) is (name not in NEVER_REFUSE)
    assert [code for code in codes_raised(function) if code not in sections["Raises"]] == []


@pytest.mark.parametrize("name", sorted(ESTIMATORS))
def test_every_reference_is_numbered_and_cited(name):
    sections = sections_of(ESTIMATORS[name])
    numbered = re.findall(r"^\.\. \[(\d+)\] ", sections.get("References", ""), re.MULTILINE)
    text = "\n".join(rows for head, rows in sections.items() if head != "References")

    assert ("References" in sections) == bool(numbered)
    assert numbered == [str(place + 1) for place in range(len(numbered))]
    assert set(re.findall(r"\[(\d+)\]_", text)) == set(numbered)


@pytest.mark.parametrize("name", sorted(ESTIMATORS))
def test_the_example_runs_and_gives_what_it_says(name):
    finder = doctest.DocTestFinder(recurse=False)
    function = inspect.unwrap(ESTIMATORS[name])
    [example] = finder.find(function, name, globs={})
    told: list[str] = []

    with np.printoptions(legacy=False):
        result = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE).run(
            example, out=told.append
        )

    assert result.attempted > 0
    assert result.failed == 0, "".join(told)


def test_symbols_are_those_of_the_field():
    """K, Z, M and F have one name each, wherever a function takes them."""
    taken = {
        (name, one)
        for name, function in ESTIMATORS.items()
        for one in inspect.signature(function).parameters
    }

    older = {"rate", "total", "natural", "fishing", "length_max_mm", "age_zero", "time_zero"}
    assert {(name, one) for name, one in taken if one in older} == set()
