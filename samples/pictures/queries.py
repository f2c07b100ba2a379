"""What pages show of pictures."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery

from samples.models import Lake, Objective, Picture, PictureScale, Vial
from samples.pictures.rules import numbers_in_name
from samples.rules.vial_number import grouped

PICTURES_ON_A_PAGE = 60
ROWS_TO_CONFIRM = 100


def pictures_at(lake: Lake) -> QuerySet[Picture]:
    return Picture.objects.filter(lake=lake).select_related(
        "vial", "suggested_vial", "objective", "scale", "uploaded_by"
    )


def pictures_of_vials(lake: Lake) -> QuerySet[Picture]:
    """Return the pictures that belong to a vial, by its number."""
    return pictures_at(lake).filter(vial__isnull=False).order_by("vial__number", "pk")


def pictures_aside(lake: Lake) -> QuerySet[Picture]:
    """Return the pictures that belong to no vial yet, those with a suggestion first."""
    aside = pictures_at(lake).filter(vial=None, kind=Picture.Kind.OTOLITH)
    by_number = F("suggested_vial__number").asc(nulls_last=True)
    return aside.order_by(by_number, "original_name", "pk")


def pictures_of(vial: Vial) -> QuerySet[Picture]:
    """Return the pictures of one vial, in the order in which they came."""
    return pictures_at(vial.lake).filter(vial=vial).order_by("uploaded_at", "pk")


def vials_named(lake: Lake, name: str) -> list[Vial]:
    """Return the vials of a lake that a file's name may mean."""
    numbers = numbers_in_name(name).numbers
    return list(Vial.objects.filter(lake=lake, number__in=numbers)) if numbers else []


def current_scale(objective: Objective, picture: Picture) -> PictureScale | None:
    """Return the newest scale of an objective, if it holds for pictures of this size.

    The camera may join pixels for smaller pictures: a scale says nothing about another size.
    """
    scale = newest_scale(objective)
    if scale is None:
        return None
    same = (scale.micrometer.width_px, scale.micrometer.height_px)
    return scale if same == (picture.width_px, picture.height_px) else None


def newest_scale(objective: Objective) -> PictureScale | None:
    """Return the newest scale of an objective, whatever the size of its pictures."""
    return objective.scales.select_related("micrometer").order_by("-set_at", "-pk").first()


def objectives_at(lake: Lake) -> list[Objective]:
    """Return the objectives of a lake by name, with the id of their newest scale and a count."""
    newest = PictureScale.objects.filter(objective=OuterRef("pk")).order_by("-set_at", "-pk")
    of_otoliths = Q(pictures__kind=Picture.Kind.OTOLITH)
    without = of_otoliths & Q(pictures__scale=None)
    return list(
        Objective.objects.filter(lake=lake)
        .annotate(
            newest_scale=Subquery(newest.values("pk")[:1]),
            picture_count=Count("pictures", filter=of_otoliths),
            unscaled_count=Count("pictures", filter=without),
        )
        .order_by("name")
    )


@dataclass(frozen=True, slots=True)
class ObjectiveRow:
    """An objective, its newest scale, and pictures of a stage micrometer without a scale."""

    objective: Objective
    scale: PictureScale | None
    earlier: int
    unmeasured: list[Picture]


def objective_rows(lake: Lake) -> list[ObjectiveRow]:
    objectives = objectives_at(lake)
    scales: dict[int, list[PictureScale]] = {}
    found = PictureScale.objects.filter(objective__in=objectives)
    for scale in found.select_related("set_by", "micrometer").order_by("-set_at", "-pk"):
        scales.setdefault(scale.objective_id, []).append(scale)
    unmeasured: dict[int | None, list[Picture]] = {}
    micrometers = Picture.objects.filter(lake=lake, kind=Picture.Kind.MICROMETER)
    for picture in micrometers.filter(scales_set_on_it=None).order_by("-uploaded_at", "-pk"):
        unmeasured.setdefault(picture.objective_id, []).append(picture)
    return [
        ObjectiveRow(
            one,
            scales[one.pk][0] if one.pk in scales else None,
            max(len(scales.get(one.pk, [])) - 1, 0),
            unmeasured.get(one.pk, []),
        )
        for one in objectives
    ]


def why_aside(pictures: Iterable[Picture]) -> dict[int, str]:
    """Say of each picture without a suggestion why its name gave none."""
    unmatched = [one for one in pictures if one.suggested_vial_id is None]
    named = {one.pk: numbers_in_name(one.original_name) for one in unmatched}
    numbers = {number for found in named.values() for number in found.numbers}
    lakes = {one.lake_id for one in unmatched}
    here = set(
        Vial.objects.filter(lake__in=lakes, number__in=numbers).values_list("number", flat=True)
    )
    return {pk: _why(found.numbers, found.wrong, here) for pk, found in named.items()}


def _why(numbers: tuple[str, ...], wrong: tuple[str, ...], here: set[str]) -> str:
    known = [number for number in numbers if number in here]
    if len(known) == 1:
        return f"The name says {grouped(known[0])}."
    if known:
        return f"The name has {len(known)} vial numbers."
    if numbers:
        return f"No vial {grouped(numbers[0])} at this lake."
    if wrong:
        return f"{grouped(wrong[0])} is not a vial number: check its digits."
    return "No vial number in the name."
