"""The contract between phones and this site, as OpenAPI shows it.

Entries are described by the specs of their fields, from which `samples.ramp.entry` reads them;
what stands here is the envelope, and the lists that a phone gets.
"""

from typing import Any, TypedDict

from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent, resolve_type_hint
from drf_spectacular.utils import Direction
from rest_framework import serializers

from samples.ramp.entry import (
    KINDS,
    MOST_IN_A_BATCH,
    Entry,
    FishFacts,
    PartyFacts,
    facts_schema_of,
    schema_of,
)
from samples.ramp.queries import PersonOnList, PickLists
from samples.ramp.services import Outcome


class AnyEntry(serializers.JSONField):
    """One entry of any kind, passed on as it came: `samples.ramp.entry` reads it."""


class AnyEntryInDocument(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    """Shows `AnyEntry` as one of the kinds of entries, each made of the specs of its fields."""

    target_class = AnyEntry

    def map_serializer_field(self, auto_schema: AutoSchema, direction: Direction) -> dict[str, Any]:
        del direction
        kinds = {
            kind: _component(auto_schema, one.__name__, schema_of(one), one)
            for kind, one in KINDS.items()
        }
        any_kind = {
            "oneOf": list(kinds.values()),
            "discriminator": {
                "propertyName": "kind",
                "mapping": {kind: ref["$ref"] for kind, ref in kinds.items()},
            },
        }
        return _component(auto_schema, "Entry", any_kind, Entry)


def _component(
    auto_schema: AutoSchema, name: str, schema: dict[str, Any], kind: type[Entry]
) -> dict[str, str]:
    component = ResolvedComponent(  # type: ignore[no-untyped-call]
        name=name, type=ResolvedComponent.SCHEMA, schema=schema, object=kind
    )
    auto_schema.registry.register_on_missing(component)
    ref: dict[str, str] = component.ref
    return ref


class Outbox(serializers.Serializer[Any]):
    """A batch of what one phone wrote down, in the order in which it was written."""

    entries = serializers.ListField(
        child=AnyEntry(),
        min_length=1,
        max_length=MOST_IN_A_BATCH,
        error_messages={"max_length": f"Send at most {MOST_IN_A_BATCH} entries at a time."},
    )


class NewPhone(serializers.Serializer[Any]):
    """A phone that wants a token of its own."""

    link = serializers.CharField(
        required=False,
        max_length=500,
        help_text="A personal link, whole or its last part. Without it the session says whose.",
    )
    name = serializers.CharField(required=False, max_length=80, allow_blank=True)


# ---------- What is answered: plain dictionaries, described by their types ----------


class Trouble(TypedDict):
    """Why nothing was ingested; the same may be sent again."""

    detail: str


class PhotoRefused(TypedDict):
    """Why a photo is not kept; its fish is."""

    code: str
    detail: str


class Result(TypedDict):
    """What became of one entry."""

    entry_id: str | None
    outcome: Outcome
    reason: str
    errors: dict[str, list[str]]


class Results(TypedDict):
    """What became of a batch.

    ``oldest_app`` is the oldest app that is still good. An older one is told so after its entries
    were ingested, and asks for the update.
    """

    results: list[Result]
    oldest_app: int


class PhoneMade(TypedDict):
    """A token, shown this once, and whose it is."""

    token: str
    person: PersonOnList
    lists: PickLists


def document_of(answer: type) -> dict[str, Any]:
    """Return what the OpenAPI document says of an answer."""
    schema: dict[str, Any] = resolve_type_hint(answer)  # type: ignore[no-untyped-call]
    for part in (schema, schema["properties"].get("lists", {})):
        if "trips" in part.get("properties", {}):
            part["properties"]["trips"] = {"type": "array", "items": _trip_schema()}
    return schema


def _trip_schema() -> dict[str, Any]:
    """Return what a trip is on a phone's list: the facts of its entries, and how it stands."""
    at, on_record = {"type": "string", "format": "date-time"}, facts_schema_of(FishFacts)
    entry_id = {"type": "string", "format": "uuid"}
    fish = _nullable(on_record) | {
        "entry_id": entry_id,
        "written_at": at,
        "received": {
            "type": "boolean",
            "description": "The vial is at the office; the fish is no longer corrected here.",
        },
    }
    count = {"entry_id": entry_id, "species": {"type": "string"}, "count": {"type": "integer"}}
    return _object(
        _nullable(facts_schema_of(PartyFacts))
        | {
            "party_id": entry_id,
            "lake": {"type": "string"},
            "interview_key": {"type": "string"},
            "opened_at": at,
            "spoken_of_at": at | {"description": "Opened, or changed or reopened last."},
            "closed_at": at | {"nullable": True},
            "fish": {"type": "array", "items": _object(fish)},
            "counts": {"type": "array", "items": _object(count | {"written_at": at})},
        }
    )


def _object(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(properties)}


def _nullable(properties: dict[str, Any]) -> dict[str, Any]:
    """Return properties of a row on record, where a number may be none."""
    return {
        name: one | ({"nullable": True} if one["type"] == "integer" else {})
        for name, one in properties.items()
    }
