"""Finding the vials that a person speaks of, and keeping them locked while they change."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from samples.models import Lake, User, Vial
from samples.rules import vial_number
from samples.rules.vial_number import VialNumber
from samples.vials.services.errors import VialsRefused

MOST_AT_ONCE = 2_000
_NAMED = 5
_CENTURY = 2000
_BATCH = 500


def read_number(text: str, refused: type[VialsRefused], field: str) -> VialNumber:
    """Read a number as typed or scanned."""
    try:
        return vial_number.parse(text)
    except vial_number.VialNumberRefused as problem:
        raise refused(problem.code, problem.sentence, field) from problem


def not_here(number: str, refused: type[VialsRefused], field: str) -> VialsRefused:
    """Return why a number is none of this lake's vials."""
    grouped = vial_number.grouped(number)
    if Vial.objects.filter(number=number).exists():
        return refused(
            "other_lake", f"{grouped} belongs to another lake. Send the vial there.", field
        )
    return refused("unknown", f"{grouped} was never printed here. Read the label again.", field)


def locked_vial(lake: Lake, number: str, refused: type[VialsRefused]) -> Vial:
    """Lock one vial of the lake by its number, as typed or scanned."""
    read = read_number(number, refused, "number").number
    vial = (
        Vial.objects.select_for_update(of=("self",))
        .select_related("issued_to", "received_by")
        .filter(lake=lake, number=read)
        .first()
    )
    if vial is None:
        raise not_here(read, refused, "number")
    return vial


def locked_range(lake: Lake, first: str, last: str, refused: type[VialsRefused]) -> list[Vial]:
    """Lock every vial from the first number to the last; a range with a gap is refused."""
    start = read_number(first, refused, "first")
    end = read_number(last, refused, "last")
    _check_order(start, end, refused)
    vials = list(
        Vial.objects.select_for_update(of=("self",))
        .select_related("issued_to")
        .filter(
            season__number_year=_CENTURY + start.year2,
            sequence__range=(start.sequence, end.sequence),
        )
        .order_by("pk")
    )
    by_sequence = {vial.sequence: vial for vial in vials}
    for sequence in range(start.sequence, end.sequence + 1):
        vial = by_sequence.get(sequence)
        if vial is None or vial.lake_id != lake.pk:
            missing = vial_number.make(start.year2, sequence, start.digits)
            field = "first" if sequence == start.sequence else "last"
            raise not_here(missing, refused, field)
    return [by_sequence[sequence] for sequence in range(start.sequence, end.sequence + 1)]


def _check_order(start: VialNumber, end: VialNumber, refused: type[VialsRefused]) -> None:
    if (start.year2, start.digits) != (end.year2, end.digits):
        raise refused(
            "two_years",
            "Both numbers must start with the same year. Enter one year at a time.",
            "last",
        )
    count = end.sequence - start.sequence + 1
    if count < 1:
        raise refused("backwards", f"The last number comes before the first, {start}.", "last")
    if count > MOST_AT_ONCE:
        raise refused(
            "too_many", f"These are {count:,} vials. Give {MOST_AT_ONCE:,} at most.", "last"
        )


def change(vials: Sequence[Vial], fields: list[str], *, actor: User, now: datetime) -> None:
    """Write the vials and their history, dated and signed."""
    alike: dict[tuple[object, ...], list[Vial]] = {}
    for vial in vials:
        alike.setdefault(tuple(getattr(vial, name) for name in fields), []).append(vial)
    # One plain UPDATE for those that change alike, mostly all of them or only one.
    for values, group in alike.items():
        pks = [vial.pk for vial in group]
        Vial.objects.filter(pk__in=pks).update(**dict(zip(fields, values, strict=True)))
    Vial.history.bulk_history_create(
        vials, batch_size=_BATCH, update=True, default_user=actor, default_date=now
    )


def named(vials: Iterable[Vial]) -> str:
    """Name vials with what stands in the way: 26 0003 1 (lost), and 3 more."""
    told = [f"{vial_number.grouped(vial.number)} ({whereabouts(vial)})" for vial in vials]
    more = len(told) - _NAMED
    words = ", ".join(told[:_NAMED])
    return f"{words} and {more} more" if more > 0 else words


def whereabouts(vial: Vial) -> str:
    """Return where a vial is, within a sentence."""
    if vial.state == Vial.State.ISSUED:
        return f"issued to {vial.issued_to}"
    label: str = Vial.State(vial.state).label
    return label[0].lower() + label[1:]
