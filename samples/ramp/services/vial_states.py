"""The state of vials as fish go into them and leave them."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from samples.models import User, Vial

UNUSED = {Vial.State.PRINTED, Vial.State.ISSUED}


def use_vials(vials: Sequence[Vial], *, actor: User, now: datetime) -> None:
    """Note that these vials now hold a fish. One already received stays received."""
    fresh = [vial for vial in vials if vial.state in UNUSED]
    if not fresh:
        return
    Vial.objects.filter(pk__in=[vial.pk for vial in fresh]).update(state=Vial.State.USED)
    for vial in fresh:
        vial.state = Vial.State.USED
    Vial.history.bulk_history_create(fresh, update=True, default_user=actor, default_date=now)


def release_vials(vials: Iterable[Vial]) -> None:
    """Give vials back to the hands they were in, since their fish left them."""
    for vial in vials:
        if vial.state == Vial.State.USED:
            vial.state = Vial.State.ISSUED if vial.issued_to_id else Vial.State.PRINTED
            vial.save(update_fields=["state"])
