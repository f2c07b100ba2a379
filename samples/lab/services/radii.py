"""Measured rings of a reading: how far each lies from the nucleus."""

from collections.abc import Sequence
from itertools import pairwise

from samples.lab.services.errors import CannotRead
from samples.models import Radius, Reading, atomic_with_revision


@atomic_with_revision()
def set_radii(reading: Reading, radii_um: Sequence[int], *, edge_um: int | None) -> None:
    """Keep the radii of a reading's annuli, innermost first; again they take the old ones' place.

    :raises CannotRead: if they are not one an annulus, do not rise, or pass the edge
    """
    if len(radii_um) != reading.annuli:
        raise CannotRead(
            "radii_differ", f"Measure one radius for each of the {reading.annuli} annuli.", "annuli"
        )
    # The last annulus may lie at the edge itself; no two annuli lie on each other.
    past_edge = edge_um is not None and bool(radii_um) and radii_um[-1] > edge_um
    falls = any(one >= other for one, other in pairwise(radii_um))
    if falls or past_edge or any(one <= 0 for one in radii_um) or (edge_um or 1) <= 0:
        raise CannotRead(
            "radii_fall",
            "Measure radii from the core: each must be larger than the one before.",
            "annuli",
        )
    reading.radii.all().delete()
    Radius.objects.bulk_create(
        Radius(reading=reading, annulus=place, radius_um=radius)
        for place, radius in enumerate(radii_um, start=1)
    )
    reading.edge_um = edge_um
    reading.save(update_fields=["edge_um"])
