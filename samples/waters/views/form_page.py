"""What every page of one form does: show it, save it, or keep what was typed and say why not."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render

from samples.accounts.decorators import SignedInRequest
from samples.form_parts import PlainForm
from samples.models import Lake
from samples.waters.services import ChangeRefused

TEMPLATE = "waters/form_page.html"


def typed_in(request: SignedInRequest) -> QueryDict | None:
    """Return what was sent, empty or not; nothing where the page is only looked at."""
    return request.POST if request.method == "POST" else None


def form_page(
    request: SignedInRequest,
    lake: Lake,
    form: PlainForm,
    *,
    save: Callable[[dict[str, Any]], str],
    onward: str,
    title: str,
    lead: str = "",
    template: str = TEMPLATE,
    more: dict[str, Any] | None = None,
) -> HttpResponse:
    """Answer a page whose `save` takes the clean words and returns what to say of it."""
    more = {"lake": lake, "title": title, "lead": lead, "onward": onward, **(more or {})}

    def save_and_go_on(cleaned_data: dict[str, Any]) -> tuple[str, str]:
        return save(cleaned_data), onward

    return reply_to_form(request, form, save=save_and_go_on, template=template, more=more)


def reply_to_form(
    request: SignedInRequest,
    form: PlainForm,
    *,
    save: Callable[[dict[str, Any]], tuple[str, str]],
    template: str,
    more: dict[str, Any],
) -> HttpResponse:
    """Answer a page whose `save` returns what to say of it and the address to go on to."""
    if request.method == "POST" and form.is_valid():
        try:
            message, onward = save(form.cleaned_data)
        except ChangeRefused as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            messages.success(request, message)
            return redirect(onward)
    status = 422 if request.method == "POST" else 200
    return render(request, template, {"form": form, **more}, status=status)


def act_and_redirect(
    request: SignedInRequest,
    action: Callable[[], None],
    *,
    onward: str,
    refused: str,
    message: str = "",
) -> HttpResponse:
    """Do what one button asks for, and go on; if it is refused, go back and say why."""
    try:
        action()
    except ChangeRefused as problem:
        messages.warning(request, problem.sentence, extra_tags=problem.code)
        return redirect(refused)
    if message:
        messages.success(request, message)
    return redirect(onward)


def move_and_redirect(
    request: SignedInRequest, pk: int, move: Callable[[bool], None], *, onward: str
) -> HttpResponse:
    """Move a row up, or down, as its button says; the focus comes back to that button."""
    way = "up" if request.POST.get("way") == "up" else "down"
    move(way == "up")
    return redirect(f"{onward}#{way}-{pk}")
