"""Where a vial lies, in words for the middle of a sentence."""

from samples.models import TrayPlace, Vial
from samples.vials.services.locked import whereabouts as stage_of


def open_place(vial: Vial) -> TrayPlace | None:
    """Return the place that a vial has in a tray which is not rinsed and dried yet."""
    return next(iter(open_places(vial)), None)


def open_places(vial: Vial) -> list[TrayPlace]:
    """Return every place that a vial has in a tray in use, the newest first: one at most."""
    places = TrayPlace.objects.filter(vial=vial, tray__dried_on__isnull=True)
    return list(places.select_related("tray").order_by("-scanned_at", "-pk"))


def whereabouts(vial: Vial) -> str:
    """Return where a vial is: "clearing in tray C-12", "archived in box 26-04, slot C3"."""
    if vial.state == Vial.State.CLEARING:
        place = open_place(vial)
        return f"clearing in tray {place.tray.name}" if place else "clearing in no tray"
    if vial.state == Vial.State.ARCHIVED:
        return f"archived{in_box(vial)}"
    return stage_of(vial)


def in_box(vial: Vial) -> str:
    """Return the box and slot of a vial, with "in" before them; nothing if it has none."""
    named = [
        f"{name} {value}"
        for name, value in (("box", vial.archive_box), ("slot", vial.archive_slot))
        if value
    ]
    return f" in {', '.join(named)}" if named else ""
