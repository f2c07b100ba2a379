"""Keeping, renaming and removing saved views."""

from collections.abc import Iterable

from django.db import IntegrityError, transaction
from django.db.models import Q

from samples.models import Lake, SavedView, User
from samples.today.rules import LONGEST_QUERY, MOST_VIEWS, tidy_query, viewed_page


class ViewRefused(Exception):
    """A view that cannot be kept so, in a sentence fit to show, and the field it belongs to."""

    def __init__(self, code: str, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


@transaction.atomic
def save_view(
    lake: Lake, person: User, *, name: str, path: str, query: str, is_shared: bool
) -> SavedView:
    """Keep an address under a name, for a person or for the lake.

    The same address under the same name again gives the view that is there.

    :raises ViewRefused: if the address is no page of ours, the name is taken, or there are
        too many views
    """
    query = tidy_query(query)
    if viewed_page(path, lake.slug) is None or len(query) > LONGEST_QUERY:
        sentence = "Only pages of Coverage and Findings can be saved. Open one and save it there."
        raise ViewRefused("no_such_page", sentence)
    # Two savings at the same moment wait for each other, so that they count each other.
    Lake.objects.select_for_update().get(pk=lake.pk)
    seen = list(SavedView.objects.filter(Q(person=person) | Q(person=None), lake=lake))
    owner = None if is_shared else person
    same = _called(name, seen)
    if same and (same.path, same.query, same.person) == (path, query, owner):
        return same
    if same:
        raise _name_taken(same)
    _check_room([view for view in seen if view.is_shared == is_shared], is_shared=is_shared)
    try:
        with transaction.atomic():
            return SavedView.objects.create(
                lake=lake, person=owner, name=name, path=path, query=query
            )
    except IntegrityError:
        raise ViewRefused("name_taken", _taken_sentence(name), field="name") from None


@transaction.atomic
def change_view(view: SavedView, person: User, *, name: str, is_shared: bool) -> None:
    """Give a view another name, or make one's own the lake's, or the lake's one's own.

    :raises ViewRefused: if the name is taken, there are too many views of the other kind, or the
        view was removed meanwhile
    """
    Lake.objects.select_for_update().get(pk=view.lake_id)
    others = list(
        SavedView.objects.filter(Q(person=person) | Q(person=None), lake_id=view.lake_id).exclude(
            pk=view.pk
        )
    )
    same = _called(name, others)
    if same:
        raise _name_taken(same)
    kept = SavedView.objects.select_for_update().filter(pk=view.pk).first()
    if kept is None or kept.person_id not in {None, person.pk}:
        raise ViewRefused("view_gone", "This view has been removed. Save the page again.")
    if kept.is_shared != is_shared:
        _check_room([one for one in others if one.is_shared == is_shared], is_shared=is_shared)
        kept.person = None if is_shared else person
    kept.name = name
    try:
        with transaction.atomic():
            kept.save(update_fields=["name", "person"])
    except IntegrityError:
        raise ViewRefused("name_taken", _taken_sentence(name), field="name") from None
    view.name, view.person = kept.name, kept.person


def remove_view(view: SavedView) -> None:
    """Remove a view; the page it leads to stays."""
    view.delete()


def _called(name: str, views: Iterable[SavedView]) -> SavedView | None:
    return next((view for view in views if view.name.casefold() == name.casefold()), None)


def _name_taken(same: SavedView) -> ViewRefused:
    return ViewRefused("name_taken", _taken_sentence(same.name), field="name")


def _taken_sentence(name: str) -> str:
    return f"A view called {name} already exists. Add a word, such as the season."


def _check_room(views: list[SavedView], *, is_shared: bool) -> None:
    if len(views) >= MOST_VIEWS:
        whose = "The lake shares" if is_shared else "You keep"
        sentence = f"{whose} {MOST_VIEWS} views already. Remove one under Saved views first."
        raise ViewRefused("too_many", sentence)
