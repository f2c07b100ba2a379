"""The contract between phones and this site, as OpenAPI shows it.

Entries are described by the specs of their fields, from which `samples.ramp.entry` reads them;
what stands here is the envelope, and the lists that a phone gets.
"""

from typing import Any

from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from drf_spectacular.utils import Direction
from rest_framework import serializers

from samples.ramp.entry import KINDS, MOST_IN_A_BATCH, Entry, schema_of
from samples.ramp.services import Outcome


class Trouble(serializers.Serializer[Any]):
    """Why nothing was taken; the same may be sent again."""

    detail = serializers.CharField()


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


class Result(serializers.Serializer[Any]):
    """What became of one entry."""

    entry_id = serializers.CharField(allow_null=True)
    outcome = serializers.ChoiceField([outcome.value for outcome in Outcome])
    reason = serializers.CharField(allow_blank=True)
    errors = serializers.DictField(  # type: ignore[assignment]
        child=serializers.ListField(child=serializers.CharField())
    )


class Results(serializers.Serializer[Any]):
    results = Result(many=True)
    oldest_app = serializers.IntegerField(
        help_text="The oldest app that is still good. An older one is told so after its "
        "entries were taken, and asks for the update."
    )


class NewPhone(serializers.Serializer[Any]):
    """A phone that wants a token of its own."""

    link = serializers.CharField(
        required=False,
        max_length=500,
        help_text="A personal link, whole or its last part. Without it the session says whose.",
    )
    name = serializers.CharField(required=False, max_length=80, allow_blank=True)


class Choice(serializers.Serializer[Any]):
    code = serializers.CharField(allow_blank=True)
    name = serializers.CharField()


class SeasonOnList(serializers.Serializer[Any]):
    starts_on = serializers.DateField()
    ends_on = serializers.DateField()
    number_year = serializers.IntegerField()


class GroupOnList(serializers.Serializer[Any]):
    """Species that are mistaken for one another, and how they are told apart."""

    name = serializers.CharField()
    heading = serializers.CharField()
    words = serializers.CharField(allow_blank=True)
    caution = serializers.CharField(allow_blank=True)


class ArmOnList(serializers.Serializer[Any]):
    name = serializers.CharField()
    reaches = serializers.ListField(child=serializers.CharField())


class SpeciesOnList(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    short_name = serializers.CharField()
    kind = serializers.ChoiceField(["species", "hybrid", "not_sure"])
    least_hundredths_mm = serializers.IntegerField()
    most_hundredths_mm = serializers.IntegerField()
    spines_least = serializers.IntegerField(allow_null=True)
    spines_most = serializers.IntegerField(allow_null=True)
    group = serializers.CharField(allow_blank=True)
    marks = serializers.CharField(allow_blank=True)


class LakeOnList(serializers.Serializer[Any]):
    lake = serializers.CharField()
    name = serializers.CharField()
    length_unit = serializers.ChoiceField(["in", "mm"])
    time_zone = serializers.CharField()
    for_others = serializers.BooleanField(
        help_text="A clerk's: fish of other people, measured without a vial too."
    )
    arms = ArmOnList(many=True)
    seasons = SeasonOnList(many=True)
    species = SpeciesOnList(many=True)
    groups = GroupOnList(many=True)


class PersonOnList(serializers.Serializer[Any]):
    key = serializers.CharField(help_text="Stands for the person in what the phone writes.")
    name = serializers.CharField()


class FishOnList(serializers.Serializer[Any]):
    """A fish as the office has it, in the words of an entry."""

    entry_id = serializers.UUIDField()
    vial = serializers.CharField(allow_blank=True)
    species = serializers.CharField()
    length = serializers.CharField()
    unit = serializers.ChoiceField(["in", "mm"])
    sex = serializers.CharField()
    spines = serializers.IntegerField(allow_null=True)
    told_by = serializers.CharField(allow_blank=True)
    weight_g = serializers.IntegerField(allow_null=True)
    confirmed = serializers.ListField(child=serializers.CharField())
    written_at = serializers.DateTimeField()
    received = serializers.BooleanField(
        help_text="The vial is at the office; the fish is no longer corrected from the ramp."
    )


class CountOnList(serializers.Serializer[Any]):
    entry_id = serializers.UUIDField()
    species = serializers.CharField()
    count = serializers.IntegerField()
    written_at = serializers.DateTimeField()


class TripOnList(serializers.Serializer[Any]):
    """A trip of the last days as the office has it, wherever it was logged."""

    party_id = serializers.UUIDField()
    lake = serializers.CharField()
    arm = serializers.CharField()
    reach = serializers.CharField(allow_blank=True)
    caught_on = serializers.DateField()
    method = serializers.CharField()
    how_chosen = serializers.CharField()
    every_nth = serializers.IntegerField(allow_null=True)
    fish_in_box = serializers.IntegerField(allow_null=True)
    kept = serializers.CharField()
    net_nights = serializers.IntegerField(allow_null=True)
    net_mesh_mm = serializers.IntegerField(allow_null=True)
    interview_key = serializers.CharField(allow_blank=True)
    opened_at = serializers.DateTimeField()
    spoken_of_at = serializers.DateTimeField(help_text="Opened, or changed or reopened last.")
    closed_at = serializers.DateTimeField(allow_null=True)
    fish = FishOnList(many=True)
    counts = CountOnList(many=True)


class PickLists(serializers.Serializer[Any]):
    """Everything a phone needs to ask the same questions without signal."""

    schema = serializers.IntegerField()
    person = PersonOnList()
    lakes = LakeOnList(many=True)
    vials_in_hand = serializers.ListField(child=serializers.CharField())
    vials_used = serializers.ListField(
        child=serializers.CharField(), help_text="The vials of this person's own fish."
    )
    trips = TripOnList(many=True)
    methods = Choice(many=True)
    how_chosen = Choice(many=True)
    kept = Choice(many=True)
    sexes = Choice(many=True)
    told_by = Choice(many=True)


class PhoneMade(serializers.Serializer[Any]):
    """A token, shown this once, and whose it is."""

    token = serializers.CharField()
    person = PersonOnList()
    lists = PickLists()
