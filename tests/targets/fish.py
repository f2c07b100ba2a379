"""Fish to count: made quickly, one row each, without going through the ramp."""

from samples.models import Fish, Progress
from tests.factories import build_fish
from tests.people import CAUGHT_ON, INCH

__all__ = ["INCH", "make_fish"]


def make_fish(party, species, inches, *, progress=Progress.AGED, count=1, **others):
    """Make fish of a party, so many inches long (to the tenth)."""
    facts = {"caught_on": CAUGHT_ON, "fingerprint": "", **others}
    return Fish.objects.bulk_create(
        build_fish(party, species, inches=inches, progress=progress, **facts) for _ in range(count)
    )
