"""An otolith of a reading session read by its marks on a picture."""

from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.lab import forms, services
from samples.lab.presenters.marks import MarksPage, picture_to_mark, session_marks_page
from samples.lab.queries import sessions as session_queries
from samples.lab.views.marks import marks_context, refuse_another_picture
from samples.lab.views.sessions import after, carried, own_session, saved_words, whole
from samples.models import Lake, ReadingSession, SessionOtolith
from samples.rules.plausible import Question


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def session_marks(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show a picture of an otolith of a session, and keep its marks as the session's reading."""
    here = own_session(request, lake, pk)
    otolith = session_queries.otolith_at(here, whole(request.GET.get("place", "")))
    if otolith is None or here.closed_at is not None:
        return redirect("lab:session_vials", lake.slug, here.pk)
    page = _page(request, lake, here, otolith)
    if request.method != "POST":
        initial = _initial(page, here, otolith) | carried(request.GET)
        form = forms.SessionMarksForm(initial=initial)
        return _session_marks_page(request, lake, page, otolith, form)
    form = forms.SessionMarksForm(request.POST)
    questions: tuple[Question, ...] = ()
    if form.is_valid():
        axis = here.axis if page.reading is None else page.reading.axis
        facts = form.session_facts(otolith, side=page.picture.side or here.side, axis=axis)
        try:
            saved = services.mark_otolith(
                otolith=otolith,
                picture=page.picture,
                drawn=form.cleaned_data["marks"],
                facts=replace(facts, confirmed=request.POST.get("confirmed", "").split()),
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
    return _session_marks_page(request, lake, page, otolith, form, questions, status=422)


def _page(
    request: SignedInRequest, lake: Lake, here: ReadingSession, otolith: SessionOtolith
) -> MarksPage:
    asked = request.GET.get("picture", "")
    picture = picture_to_mark(lake, otolith.vial, asked)
    fish = getattr(otolith.vial, "fish", None)
    if picture is None or fish is None:
        raise Http404("There is nothing to mark.")
    refuse_another_picture(request, picture, asked)
    hides_earlier = services.earlier_are_hidden(here, otolith)
    return session_marks_page(otolith, picture, fish, hides_earlier=hides_earlier)


def _initial(page: MarksPage, here: ReadingSession, otolith: SessionOtolith) -> dict[str, Any]:
    if page.reading is None:
        return {"light": here.light, "note": otolith.note}
    names = ("margin", "readability", "light", "note")
    return {name: getattr(page.reading, name) for name in names}


def _session_marks_page(
    request: SignedInRequest,
    lake: Lake,
    page: MarksPage,
    otolith: SessionOtolith,
    form: forms.SessionMarksForm,
    questions: tuple[Question, ...] = (),
    *,
    status: int = 200,
) -> HttpResponse:
    session = reverse("lab:session", args=[lake.slug, otolith.session_id])
    at, typed = {"place": otolith.place}, carried(request.GET)
    context = {
        **marks_context(lake, page, form, questions),
        "otolith": otolith,
        "back_to_session": f"{session}?{urlencode({**at, 'picture': page.picture.pk, **typed})}",
        "place": f"{urlencode({**at, **typed})}&",
        "typed": typed,
    }
    return render(request, "lab/marks.html", context, status=status)
