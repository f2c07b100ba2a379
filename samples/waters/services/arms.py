"""Arms and reaches: added, named, put in order, and removed while no fish is in them."""

from django.db import transaction
from django.db.models import ProtectedError

from samples.models import Arm, Fish, Lake, Party, Reach, Target, atomic_with_revision
from samples.waters import queries
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.order import last_place, lock_lake, move


@atomic_with_revision()
def add_arm(lake: Lake, *, name: str) -> Arm:
    """Add an arm at the end of the list.

    :raises Refused: if the lake has an arm of this name
    """
    lock_lake(lake)
    arms = queries.arms_of(lake)
    _free_name([arm.name for arm in arms], name, f"{lake} already has an arm called {name}.")
    return Arm.objects.create(lake=lake, name=name, position=last_place(arms))


@atomic_with_revision()
def rename_arm(arm: Arm, *, name: str) -> None:
    """Rename an arm; its fish go with it.

    :raises Refused: if the lake has another arm of this name
    """
    lock_lake(arm.lake)
    others = [other.name for other in queries.arms_of(arm.lake) if other.pk != arm.pk]
    _free_name(others, name, f"{arm.lake} already has an arm called {name}.")
    arm.name = name
    arm.save()


@atomic_with_revision()
def move_arm(arm: Arm, *, up: bool) -> None:
    """Move an arm one place up or down in every list and table."""
    lock_lake(arm.lake)
    move(queries.arms_of(arm.lake), arm.pk, up=up)


@atomic_with_revision()
def remove_arm(arm: Arm) -> None:
    """Remove an arm and its reaches, while nothing was sampled there.

    :raises Refused: if fish, parties or targets belong to it, or it is the lake's only arm
    """
    lock_lake(arm.lake)
    if Arm.objects.filter(lake=arm.lake).count() == 1:
        raise ChangeRefused("only_arm", f"{arm} is the only arm. Rename it instead.")
    _nothing_there(arm.name, Fish.objects.filter(arm=arm).count())
    if Party.objects.filter(arm=arm).exists():
        raise ChangeRefused("has_parties", f"Trips were logged in {arm}. Rename it instead.")
    if Target.objects.filter(arm=arm).exists():
        raise ChangeRefused("has_targets", f"{arm} has its own targets. Remove them first.")
    _delete([*arm.reaches.all(), arm], arm.name)


@atomic_with_revision()
def add_reach(arm: Arm, *, name: str) -> Reach:
    """Add a reach at the end of an arm's list.

    :raises Refused: if the arm has a reach of this name
    """
    lock_lake(arm.lake)
    reaches = queries.reaches_of(arm)
    taken = [reach.name for reach in reaches]
    _free_name(taken, name, f"{arm} already has a reach called {name}.")
    return Reach.objects.create(arm=arm, name=name, position=last_place(reaches))


@atomic_with_revision()
def rename_reach(reach: Reach, *, name: str) -> None:
    """Rename a reach; its fish go with it.

    :raises Refused: if the arm has another reach of this name
    """
    lock_lake(reach.arm.lake)
    others = [other.name for other in queries.reaches_of(reach.arm) if other.pk != reach.pk]
    _free_name(others, name, f"{reach.arm} already has a reach called {name}.")
    reach.name = name
    reach.save()


@atomic_with_revision()
def move_reach(reach: Reach, *, up: bool) -> None:
    """Move a reach one place up or down within its arm."""
    lock_lake(reach.arm.lake)
    move(queries.reaches_of(reach.arm), reach.pk, up=up)


@atomic_with_revision()
def remove_reach(reach: Reach) -> None:
    """Remove a reach while nothing was sampled there.

    :raises Refused: if fish or parties belong to it
    """
    lock_lake(reach.arm.lake)
    place = f"{reach.name}, {reach.arm.name}"
    _nothing_there(place, Fish.objects.filter(reach=reach).count())
    if Party.objects.filter(reach=reach).exists():
        raise ChangeRefused("has_parties", f"Trips were logged in {place}. Rename it instead.")
    _delete([reach], place)


def _free_name(taken: list[str], name: str, sentence: str) -> None:
    if name.casefold() in {other.casefold() for other in taken}:
        raise ChangeRefused("name_taken", sentence, field="name")


def _nothing_there(place: str, fish: int) -> None:
    if fish:
        were = "1 fish was" if fish == 1 else f"{fish} fish were"
        raise ChangeRefused("has_fish", f"{were} logged in {place}. Rename it instead.")


def _delete(rows: list[Arm | Reach], place: str) -> None:
    try:
        with transaction.atomic():
            for row in rows:
                row.delete()
    except ProtectedError:
        raise ChangeRefused("in_use", f"{place} is in use. Rename it instead.") from None
