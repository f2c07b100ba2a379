"""Reading sessions: opened, read one otolith at a time, stopped, continued and ended."""

from itertools import islice
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse, JsonResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.lab import forms, queries, rules, services
from samples.lab.forms.session import CountForm, OpenSessionForm, OtolithForm
from samples.lab.presenters.marks import picture_to_mark, pictures_to_mark
from samples.lab.queries import queue
from samples.lab.queries import sessions as session_queries
from samples.lab.services.ages import species_of
from samples.models import Fish, Lake, ReadingSession, SessionOtolith, User, Vial
from samples.rules import vial_number
from samples.rules.ageing import CannotAge
from samples.rules.lake_time import local_day
from samples.rules.plain_text import keepable
from samples.rules.plausible import Question

LISTED, QUEUED = 20, 10
# What goes along to the marks of an otolith and back, with the most signs of each.
CARRIED = {"annuli": 2, "margin": 1, "readability": 1, "note": 300}


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def sessions(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Open a session, and list those that were; what waits to be read stands beside it."""
    species = list(queries.species_at(lake).values())
    if request.method != "POST":
        last = session_queries.sessions_of(lake, reader=request.user).first()
        form = OpenSessionForm(initial=_as_last_time(last), species=species)
        return _sessions_page(request, lake, form)
    form = OpenSessionForm(request.POST, species=species)
    if form.is_valid():
        try:
            opened = services.open_session(
                lake=lake,
                reader=request.user,
                choice=form.choice,
                request_id=form.cleaned_data["request_id"],
                now=timezone.now(),
            )
        except services.CannotOpenSession as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            return redirect("lab:session_vials", lake.slug, opened.pk)
    return _sessions_page(request, lake, form, status=422)


def _as_last_time(last: ReadingSession | None) -> dict[str, Any]:
    """Return what a new session starts from: what the reader's last one was like."""
    kept = ("method", "side", "light", "axis") if last is not None else ()
    return {"request_id": uuid4(), **{name: getattr(last, name) for name in kept}}


def _sessions_page(
    request: SignedInRequest, lake: Lake, form: OpenSessionForm, *, status: int = 200
) -> HttpResponse:
    person = request.user
    today = local_day(timezone.now(), lake.time_zone)
    sees_all = has_permission(person, Permission.DECIDE_AGES, lake)
    own = session_queries.sessions_of(lake, reader=person)
    listed = session_queries.sessions_of(lake, reader=None) if sees_all else own
    method = form["method"].value() or forms.METHODS[0][0]
    waiting = queue.unread_vials(person, lake, method=method, today=today)
    queued = list(islice(queue.queue_of(person, lake, method=method, today=today), QUEUED))
    vials = Vial.objects.select_related("fish__species", "fish__arm").in_bulk(
        [one.otolith.vial_id for one in queued]
    )
    context = {
        "lake": lake,
        "form": form,
        "open": own.filter(closed_at__isnull=True).first(),
        "listed": listed[:LISTED],
        "sees_all": sees_all,
        "waiting": waiting.count(),
        "seconds_due": queue.second_readings_due(person, lake).count(),
        "hard_due": queue.hard_ones_due(person, lake).count(),
        "queue": [(one, vials[one.otolith.vial_id], today - one.otolith.since) for one in queued],
    }
    return render(request, "lab/sessions.html", context, status=status)


def own_session(request: SignedInRequest, lake: Lake, pk: int) -> ReadingSession:
    here = get_object_or_404(ReadingSession, lake=lake, pk=pk)
    if here.reader_id != request.user.pk:
        raise PermissionDenied("This session is another reader's.")
    return here


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def session(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one otolith of a session and keep what the reader says of it."""
    here = own_session(request, lake, pk)
    typed = (request.POST if request.method == "POST" else request.GET).get("place", "")
    place = whole(typed) or None
    otolith = session_queries.otolith_at(here, place)
    if otolith is None or here.closed_at is not None:
        return redirect("lab:session_vials", lake.slug, here.pk)
    if request.method != "POST":
        form = _form_of(here, otolith)
        form.initial = {**form.initial, **carried(request.GET)}
        return _otolith_page(request, lake, here, otolith, form)
    form = OtolithForm(request.POST)
    questions: tuple[Question, ...] = ()
    if form.is_valid():
        try:
            saved = services.save_otolith(
                otolith=otolith,
                facts=form.facts(request.POST.get("confirmed", "").split()),
                now=timezone.now(),
            )
        except services.SessionClosed as problem:
            messages.error(request, problem.sentence, extra_tags=problem.code)
            return redirect("lab:session_vials", lake.slug, here.pk)
        except services.CannotRead as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        except services.ReadingNeedsConfirmation as asked:
            questions = asked.questions
        else:
            messages.success(request, saved_words(here, otolith, saved))
            return redirect(after(lake, here, otolith))
    return _otolith_page(request, lake, here, otolith, form, questions=questions, status=422)


def after(lake: Lake, here: ReadingSession, otolith: SessionOtolith) -> str:
    following = session_queries.next_waiting(here, otolith.place)
    if following is None:
        return reverse("lab:session_vials", args=[lake.slug, here.pk])
    return f"{reverse('lab:session', args=[lake.slug, here.pk])}?place={following.place}"


def saved_words(here: ReadingSession, otolith: SessionOtolith, saved: services.Saved | None) -> str:
    number = vial_number.grouped(otolith.vial.number)
    if saved is None:
        return f"{number}: set aside without a count."
    annuli = saved.reading.annuli
    words = f"{number}: {annuli} {'annulus' if annuli == 1 else 'annuli'}"
    if saved.result.age is None or _tells_length(here, annuli):
        return f"{words}."
    return f"{words}, age {saved.result.age}."


def _tells_length(here: ReadingSession, annuli: int) -> bool:
    """Return whether the age would tell a hidden length: without annuli, length decides it."""
    return here.length_is_hidden and annuli == 0


def _form_of(here: ReadingSession, otolith: SessionOtolith) -> OtolithForm:
    """Return the form as it stands: what was saved before, or the session's own side and light."""
    words: dict[str, Any] = {"side": here.side, "light": here.light, "axis": here.axis}
    reading = session_queries.reading_of(otolith)
    if reading is not None:
        counted = {name: getattr(reading, name) for name in ("annuli", "margin", "readability")}
        words |= counted | {name: getattr(reading, name) for name in words}
    cannot_be_read = otolith.outcome == SessionOtolith.Outcome.UNREADABLE
    words |= {"needs_section": otolith.needs_section, "cannot_be_read": cannot_be_read}
    return OtolithForm(initial=words | {"note": otolith.note})


def carried(address: QueryDict) -> dict[str, str]:
    """Return what was typed of an otolith before its picture was marked: addresses carry it."""
    typed = {name: keepable(address.get(name, ""))[:most].strip() for name, most in CARRIED.items()}
    return {name: text for name, text in typed.items() if text}


def _otolith_page(
    request: SignedInRequest,
    lake: Lake,
    here: ReadingSession,
    otolith: SessionOtolith,
    form: OtolithForm,
    *,
    questions: tuple[Question, ...] = (),
    status: int = 200,
) -> HttpResponse:
    # Its log may have been deleted or given another number since; then it cannot be read.
    fish: Fish | None = getattr(otolith.vial, "fish", None)
    following = session_queries.next_waiting(here, otolith.place)
    hides_earlier = services.earlier_are_hidden(here, otolith)
    context: dict[str, Any] = {
        "lake": lake,
        "session": here,
        "opened_on": local_day(here.opened_at, lake.time_zone),
        "otolith": otolith,
        "number": otolith.vial.number,
        "fish": fish,
        "length": None if fish is None else session_queries.length_shown(here, fish),
        "earlier": session_queries.earlier_shown(otolith, hidden=hides_earlier),
        "progress": session_queries.progress_of(here),
        "following": following,
        "pictures": pictures_to_mark(otolith.vial),
        "picture": picture_to_mark(lake, otolith.vial, request.GET.get("picture", "")),
        "next_picture": picture_to_mark(lake, following.vial, "") if following else None,
        "form": form,
        "field_takes_focus": True,
        "questions": questions,
        "codes": " ".join(question.code for question in questions),
        "margins": forms.MARGINS_SHORT,
        "readable": forms.READABLE[1:],
    }
    return render(request, "lab/session.html", context, status=status)


@require_safe
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def session_age(request: SignedInRequest, lake: Lake, pk: int) -> JsonResponse:
    """Say which age a count comes to, while it is being typed."""
    here = own_session(request, lake, pk)
    otolith = session_queries.otolith_at(here, whole(request.GET.get("place", "")))
    form = CountForm(request.GET)
    no_age = JsonResponse({"age": None, "sentence": ""})
    if otolith is None or not hasattr(otolith.vial, "fish") or not form.is_valid():
        return no_age
    if _tells_length(here, form.cleaned_data["annuli"]):
        return no_age
    fish = otolith.vial.fish
    try:
        result = rules.age_of_count(
            fish, species_of(fish), annulus_at_edge=None, **form.cleaned_data
        )
    except CannotAge as problem:
        return JsonResponse({"age": None, "sentence": problem.sentence})
    return JsonResponse(
        {"age": result.age, "year_class": result.year_class, "sentence": result.sentence}
    )


def whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 4 else 0


@require_safe
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def session_vials(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """List the vials of a session in the order in which they are read, with where they lie."""
    here = own_session(request, lake, pk)
    context = {
        "lake": lake,
        "session": here,
        "opened_on": local_day(here.opened_at, lake.time_zone),
        "rows": session_queries.vials_of(here),
        "progress": session_queries.progress_of(here),
    }
    return render(request, "lab/session_vials.html", context)


@require_POST
@lake_permission_required(Permission.READ_OTOLITHS)
def end_session(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Close a session, asking first where otoliths are unread: its readings are final then."""
    if has_permission(request.user, Permission.DECIDE_AGES, lake):
        here = get_object_or_404(ReadingSession, lake=lake, pk=pk)
    else:
        here = own_session(request, lake, pk)
    left = session_queries.progress_of(here).left
    if left and here.closed_at is None and "confirmed" not in request.POST:
        context = {"lake": lake, "session": here, "left": left}
        return render(request, "lab/end_session.html", context, status=422)
    services.close_session(session=here, actor=request.user, now=timezone.now())
    messages.success(request, _ended_words(request.user, here))
    return redirect("lab:sessions", lake.slug)


def _ended_words(person: User, here: ReadingSession) -> str:
    left = session_queries.progress_of(here).left
    whose = "Session" if here.reader_id == person.pk else f"Session of {here.reader}"
    back = f" {left} unread otolith{'' if left == 1 else 's'} went back to the queue."
    return f"{whose} ended. Its readings are final.{back if left else ''}"
