"""Pages where vials go out, come in and are looked for."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import vials_at
from samples.form_parts import PlainForm
from samples.models import Fish, Lake, Vial
from samples.rules import vial_number
from samples.rules.lake_time import local_day
from samples.rules.plain_text import keepable
from samples.vials import forms, queries, services
from samples.vials.views.parts import BY_SCRIPT


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def issue(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Hand a range of vials to somebody, and show what is in whose hands."""
    vials = vials_at(request.user, lake)
    next_in_office = queries.first_in_office(vials)
    first = vial_number.grouped(next_in_office) if next_in_office else ""
    initial = {"first": keepable(request.GET.get("first", "")) or first}
    form = forms.IssueVials(request.POST or None, initial=initial, lake=lake)
    if request.method == "POST" and form.is_valid():
        cleaned_data = form.cleaned_data
        try:
            issued = services.issue(
                lake=lake,
                first=cleaned_data["first"],
                last=cleaned_data["last"],
                to=cleaned_data["to"],
                actor=request.user,
                now=timezone.now(),
            )
        except services.CannotIssue as problem:
            by_count = problem.field == "last" and cleaned_data["count"] is not None
            field = "count" if by_count else problem.field
            form.add_problem(field, str(problem), code=problem.code)
        else:
            messages.success(request, _issued_message(issued, str(cleaned_data["to"])))
            return redirect("vials:issue", lake.slug)
    context = {
        "lake": lake,
        "form": form,
        "hands": queries.vials_in_hands(vials),
        "anybody": queries.people_who_log(lake).exists(),
        "in_office": next_in_office,
        "may_edit_people": lake in lakes_with_permission(request.user, Permission.EDIT_PEOPLE),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "vials/issue.html", context, status=status)


def _issued_message(issued: services.Issued, name: str) -> str:
    first, last = (vial_number.grouped(vial.number) for vial in (issued.vials[0], issued.vials[-1]))
    if issued.count == 0:
        return f"{first} to {last} were already issued to {name}."
    many = "1 vial" if issued.count == 1 else f"{issued.count} vials"
    return f"{many} issued to {name}: {first} to {last}."


@require_POST
@lake_permission_required(Permission.MOVE_VIALS)
def return_vials(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take back a stretch of unused vials."""
    try:
        back = services.return_vials(
            lake=lake,
            first=request.POST.get("first", ""),
            last=request.POST.get("last", ""),
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotReturnVials as problem:
        messages.error(request, str(problem), extra_tags=problem.code)
        return redirect("vials:issue", lake.slug)
    words = "1 vial is" if back.count == 1 else f"{back.count} vials are"
    left = f" {back.left_out} of them had been used in the meantime." if back.left_out else ""
    messages.success(request, f"{words} back in the office.{left}")
    return redirect("vials:issue", lake.slug)


@dataclass(frozen=True, slots=True)
class ContentQuestion:
    """Asks whether another content is to be noted of a vial that was received before."""

    vial: Vial
    content: str

    @property
    def noted(self) -> str:
        return self.vial.get_content_display().lower()

    @property
    def label(self) -> str:
        return Vial.Content(self.content).label.lower()


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def receive(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take in vials one by one, typed or scanned, and list what does not fit together."""
    if request.method == "POST" and "was" in request.POST:
        return _change_content(request, lake)
    if request.method == "POST" and "undo" in request.POST:
        return _undo_receive(request, lake)
    initial = {
        "content": request.GET.get("inside", ""),
        "number": keepable(request.GET.get("number", "")),
    }
    form = forms.ReceiveVial(request.POST or None, initial=initial)
    if request.method != "POST" or not form.is_valid():
        return _receive_page(request, lake, form)
    content = form.cleaned_data["content"]
    try:
        received = services.receive(
            lake=lake,
            number=form.cleaned_data["number"],
            content=content,
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotReceive as problem:
        form.add_problem(problem.field, str(problem), code=problem.code)
        return _receive_page(request, lake, form, problem=problem)
    if received.content_in_question:
        question = ContentQuestion(received.vial, received.content_in_question)
        return _receive_page(request, lake, form, question, _received_message(received, lake))
    level = messages.SUCCESS if received.first_time else messages.WARNING
    messages.add_message(request, level, _received_message(received, lake))
    stays = content if content in forms.USUAL_CONTENT else ""
    if BY_SCRIPT in request.headers:
        return _receive_page(request, lake, forms.ReceiveVial(initial={"content": stays}))
    stays = f"?{urlencode({'inside': stays})}" if stays else ""
    return redirect(reverse("vials:receive", args=[lake.slug]) + stays)


def _undo_receive(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Undo the last scan of this person."""
    try:
        vial = services.undo_receive(
            lake=lake, number=request.POST["undo"], actor=request.user, now=timezone.now()
        )
    except services.CannotReceive as problem:
        messages.error(request, str(problem), extra_tags=problem.code)
    else:
        words = f"{vial_number.grouped(vial.number)} is not received any more."
        messages.success(request, words)
    return redirect("vials:receive", lake.slug)


def _change_content(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Note the content that was asked about, and offer to undo it."""
    form = forms.ChangeContent(request.POST)
    if not form.is_valid():
        return _receive_page(request, lake, form)
    content, was = form.cleaned_data["content"], form.cleaned_data["was"]
    try:
        vial = services.change_content(
            lake=lake,
            number=form.cleaned_data["number"],
            content=content,
            was=was,
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotReceive as problem:
        messages.error(request, str(problem), extra_tags=problem.code)
        return redirect("vials:receive", lake.slug)
    before = Vial.Content(was).label.lower()
    messages.success(
        request,
        f"{vial_number.grouped(vial.number)}: inside was {before}, and is now "
        f"{vial.get_content_display().lower()}.",
    )
    query = urlencode({"changed": vial.number, "was": was})
    return redirect(f"{reverse('vials:receive', args=[lake.slug])}?{query}")


def _receive_page(
    request: SignedInRequest,
    lake: Lake,
    form: PlainForm,
    question: ContentQuestion | None = None,
    message: str = "",
    problem: services.CannotReceive | None = None,
) -> HttpResponse:
    vials = vials_at(request.user, lake)
    changed, was = request.GET.get("changed", ""), request.GET.get("was", "")
    is_just_changed = request.method != "POST" and was in Vial.Content.values
    undo = vials.filter(number=changed).first() if is_just_changed else None
    last = queries.last_received_by(vials, request.user)
    stays = question.content if question and question.content in forms.USUAL_CONTENT else ""
    context = {
        "lake": lake,
        # The question is about that vial alone; the next one is scanned as before.
        "form": forms.ReceiveVial(initial={"content": stays}) if question else form,
        "stays": stays,
        "question": question,
        "problem": problem,
        "message": message,
        "undo": ContentQuestion(undo, was) if undo and undo.content != was else None,
        "came": queries.last_received(vials),
        "last": last,
        "undo_number": last.number if last else "",
        "tally": queries.tally_of_received(vials, last),
        "without_log": queries.without_log(vials),
        "not_received": queries.logs_not_received(vials),
    }
    status = 422 if form.problems or question else 200
    return render(request, "vials/receive.html", context, status=status)


def _received_message(received: services.Received, lake: Lake) -> str:
    vial = received.vial
    number = vial_number.grouped(vial.number)
    no_log = "" if received.has_log else " Its fish is not logged yet."
    if received.first_time:
        noted = f", {vial.get_content_display().lower()}" if vial.content else ""
        return f"{number} received{noted}.{no_log}"
    day = local_day(vial.received_at, lake.time_zone) if vial.received_at else None
    when = f" on {date_format(day)} by {vial.received_by}" if day else ""
    return f"{number} was already received{when}; nothing changed."


def _none_found(number: str, lake: Lake) -> str:
    try:
        grouped = vial_number.grouped(number)
    except vial_number.VialNumberRefused:
        return f"No vial of {lake} ends in {number}. Enter the whole number."
    return f"No vial of {lake} has the number {grouped}. Read the label again."


@require_safe
@lake_permission_required(Permission.MOVE_VIALS)
def find(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Find a vial by its number or its last digits; one alone is opened at once."""
    form = forms.FindVial(request.GET if "number" in request.GET else None)
    number = form.cleaned_data["number"] if form.is_valid() else ""
    found = queries.find(vials_at(request.user, lake), lake, number)
    if len(found) == 1:
        return redirect(_page_of(lake, found[0].number))
    if number and not found:
        form.add_problem("number", _none_found(number, lake), code="none_found")
    context = {"lake": lake, "form": form, "several": found}
    return render(request, "vials/find.html", context, status=422 if form.problems else 200)


def _page_of(lake: Lake, number: str) -> str:
    return reverse("search:vial", args=[lake.slug, number])


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def mark(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Ask before a vial is set aside as lost or void, and why; or bring one back."""
    vial = get_object_or_404(vials_at(request.user, lake).select_related("fish"), number=number)
    is_sent = request.method == "POST"
    chosen = (request.POST if is_sent else request.GET).get("what")
    what = chosen if chosen in {"lost", "void"} else ""
    if not what and not is_sent:
        return redirect(_page_of(lake, number))
    form = forms.MarkVial(request.POST if is_sent else None, what=what or "")
    if is_sent and form.is_valid():
        try:
            words = _mark(request, lake, number, form)
        except services.CannotMark as problem:
            form.add_problem("what", str(problem), code=problem.code)
        else:
            messages.success(request, words)
            return redirect(_page_of(lake, number))
    is_logged = hasattr(vial, "fish")
    context = {"lake": lake, "vial": vial, "form": form, "what": what, "is_logged": is_logged}
    return render(request, "vials/mark.html", context, status=422 if is_sent else 200)


def _mark(request: SignedInRequest, lake: Lake, number: str, form: forms.MarkVial) -> str:
    what, note = form.cleaned_data["what"], form.cleaned_data["note"]
    by, now = request.user, timezone.now()
    if what == "void":
        services.void_vials(lake=lake, first=number, last=number, note=note, actor=by, now=now)
        return f"{vial_number.grouped(number)} is void. No fish can be logged under it."
    if what == "lost":
        services.mark_lost(lake=lake, number=number, note=note, actor=by, now=now)
        logged = Fish.objects.filter(vial__lake=lake, vial__number=number).exists()
        stays = " Its fish stays logged." if logged else ""
        return f"{vial_number.grouped(number)} is marked lost.{stays}"
    vial = services.bring_back(lake=lake, number=number, actor=by, now=now)
    return f"{vial_number.grouped(number)} is in use again: {vial.get_state_display().lower()}."
