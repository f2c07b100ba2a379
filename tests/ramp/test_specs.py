"""Every field of an entry, held to what its spec says: no field is listed here by its name."""

from types import UnionType
from typing import Any, Union, get_args, get_origin

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from samples.models import Fish, Party
from samples.ramp.entry import (
    KINDS,
    FishFacts,
    PartyFacts,
    all_specs_of,
    fields_for_phone,
    schema_of,
    specs_of,
)
from samples.ramp.entry.columns import NOT_AS_THEY_ARE

# A spec that several kinds share is tried once.
FIELDS = {
    id(one.spec): pytest.param(one, id=f"{name} {one.word}")
    for name, kind in KINDS.items()
    for one in all_specs_of(kind)
}.values()


def is_of(value: object, hint: Any) -> bool:
    """Return whether a value is what an annotation says."""
    if get_origin(hint) in (Union, UnionType):
        return any(is_of(value, one) for one in get_args(hint))
    if get_origin(hint) is tuple:
        return isinstance(value, tuple) and all(is_of(one, get_args(hint)[0]) for one in value)
    return isinstance(value, hint) and not (hint is int and isinstance(value, bool))


def texts(spec):
    """Draw texts, most of them near to what a spec takes."""
    limits = spec.limits
    near = [str(limits[end] + step) for end in ("minimum", "maximum") if end in limits
            for step in (-1, 0, 1)]  # fmt: skip
    near += [str(code) for code in limits.get("enum", [])]
    near += ["9.4", "240 mm", "26 0001 8", "2026-05-06", "2026-05-06T12:31:00-05:00", "6.5"]
    near += ["01976d3c-4001-7000-8000-000000000001", "007", "1e3", "٣"]
    if limits["type"] == "array":
        return st.lists(st.text(max_size=9) | st.sampled_from(near), max_size=3) | st.just("x")
    return st.sampled_from(near) | st.text(max_size=40)


@pytest.mark.parametrize("one", FIELDS)
@settings(max_examples=60, derandomize=True, database=None)
@given(data=st.data())
def test_what_is_parsed_is_what_the_annotation_says(one, data):
    sent = data.draw(texts(one.spec))
    # Nothing is the default of an optional field, and is never parsed.
    assume(sent or one.is_required)
    try:
        value = one.spec.parse(sent)
    except ValueError as problem:
        sentence = getattr(problem, "sentence", one.spec.error)
    else:
        sentence = "taken"
        assert is_of(value, one.hint)
        assert in_limits(value, one.spec.limits)
        assert str(sent) in map(str, one.spec.limits.get("enum", [sent]))
    assert sentence


def in_limits(value, limits):
    if "minimum" not in limits:
        return True
    return limits["minimum"] <= value <= limits["maximum"]


def test_a_default_is_what_the_annotation_says():
    fields = [one for kind in KINDS.values() for one in all_specs_of(kind) if not one.is_required]

    assert [one.word for one in fields if not is_of(one.default, one.hint)] == []


@pytest.mark.parametrize("kind", KINDS.values())
def test_a_name_on_the_wire_means_one_thing(kind):
    words = [one.word for one in all_specs_of(kind)]
    beside = [word for one in all_specs_of(kind) for word in one.spec.beside]

    assert sorted({*words, *beside}) == sorted(words + beside)


@pytest.mark.parametrize("facts", [FishFacts, PartyFacts])
def test_every_fact_has_its_column(facts):
    table = {FishFacts: Fish, PartyFacts: Party}[facts]
    columns = {field.name for field in table._meta.get_fields()}
    names = {one.attribute for one in specs_of(facts)}

    assert names - NOT_AS_THEY_ARE[facts] - columns == set()


def test_a_later_field_is_optional_and_never_refused_where_it_is_missing():
    later = [one for kind in KINDS.values() for one in all_specs_of(kind) if one.spec.since > 1]

    assert later
    assert not any(one.is_required for one in later)


def test_document_and_phone_are_told_the_same_limits():
    for name, fields in fields_for_phone().items():
        document = schema_of(KINDS[name])["properties"]
        for word, field in fields.items():
            enum = {"enum": document[word]["enum"]} if "enum" in document[word] else {}
            assert document[word].items() >= (field["limits"] | enum).items()
