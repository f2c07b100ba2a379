"""What everybody may read: what is asked for, by arm, and nothing of a person."""

from typing import Any

from django.contrib.syndication.views import Feed
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.feedgenerator import Atom1Feed
from django.views.decorators.http import require_safe

from samples.accounts.views.people import site_address
from samples.asks.presenters.text import html_of, sent_on, title_of
from samples.asks.queries import public_asks
from samples.models import Ask, Lake
from samples.targets.queries.asks import ask_in_force, lines_of


def _asks_for_everybody(slug: str) -> tuple[Lake, list[Ask]]:
    """Return a lake and its public lists. Of a lake that never had one, not even that it exists."""
    lake = Lake.objects.filter(slug=slug).first()
    found = public_asks(lake) if lake else []
    if lake is None or not found:
        raise Http404("No such page.")
    return lake, found


@require_safe
def public(request: HttpRequest, slug: str) -> HttpResponse:
    """Show what is asked for now."""
    lake, _ = _asks_for_everybody(slug)
    ask = ask_in_force(lake, now=timezone.now())
    context: dict[str, Any] = {"lake": lake}
    if ask is not None and ask.is_public:
        context |= {"ask": ask, "lines": lines_of(ask), "sent_on": sent_on(ask)}
    return render(request, "asks/public.html", context)


class AskFeed(Feed):  # type: ignore[type-arg]
    """The same as a web feed: each public list as it was sent, the last first."""

    feed_type = Atom1Feed
    http_method_names = ("get", "head")

    def __call__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        view = require_safe(super().__call__)
        response: HttpResponse = view(request, *args, **kwargs)
        return response

    def get_object(self, request: HttpRequest, slug: str) -> tuple[Lake, list[Ask], str]:
        lake, found = _asks_for_everybody(slug)
        address = site_address(request, reverse("asks:public", args=[slug]))
        return lake, found, address

    def title(self, obj: tuple[Lake, list[Ask], str]) -> str:
        return f"Fish needed from {obj[0]}"

    def link(self, obj: tuple[Lake, list[Ask], str]) -> str:
        return obj[2]

    def feed_url(self, obj: tuple[Lake, list[Ask], str]) -> str:
        return f"{obj[2]}feed/"

    def items(self, obj: tuple[Lake, list[Ask], str]) -> list[tuple[Ask, str]]:
        return [(ask, obj[2]) for ask in obj[1]]

    def item_title(self, item: tuple[Ask, str]) -> str:
        return title_of(item[0])

    def item_description(self, item: tuple[Ask, str]) -> str:
        return html_of(item[0])

    def item_link(self, item: tuple[Ask, str]) -> str:
        return item[1]

    def item_guid(self, item: tuple[Ask, str]) -> str:
        return f"{item[1]}#list-{item[0].pk}"

    def item_pubdate(self, item: tuple[Ask, str]) -> Any:
        return item[0].sent_at

    def item_updateddate(self, item: tuple[Ask, str]) -> Any:
        return item[0].sent_at
