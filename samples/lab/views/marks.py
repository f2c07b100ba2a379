"""Annuli marked on a picture: the page, and the brightness along a radius for its script."""

import math
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import vials_at
from samples.lab import forms, services
from samples.lab.presenters.marks import MarksPage, marks_page, picture_to_mark
from samples.models import Lake, Picture
from samples.rules.lake_time import local_day
from samples.rules.marks import DrawnRadius
from samples.rules.plain_text import keepable
from samples.rules.plausible import Question

ENDS = ("x1", "y1", "x2", "y2")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def marks(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Show a picture of a vial with the reader's marks, and keep them as a reading."""
    page = _page(request, lake, number)
    if request.method != "POST":
        return _marks_page(request, lake, page, forms.MarksForm(initial=_initial(page)))
    form = forms.MarksForm(request.POST)
    questions: tuple[Question, ...] = ()
    if form.is_valid():
        now = timezone.now()
        try:
            saved = services.save_marks(
                picture=page.picture,
                reader=request.user,
                drawn=form.cleaned_data["marks"],
                facts=form.facts(side=page.picture.side),
                sitting_on=local_day(now, lake.time_zone),
                now=now,
                confirmed=request.POST.get("confirmed", "").split(),
            )
        except services.CannotRead as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        except services.ReadingNeedsConfirmation as asked:
            questions = asked.questions
        else:
            messages.success(request, f"Reading saved. {saved.result.sentence}")
            return redirect(_address(lake, page))
    return _marks_page(request, lake, page, form, questions, status=422)


@require_safe
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def profile(request: SignedInRequest, lake: Lake, pk: int) -> JsonResponse:
    """Return the brightness along a radius, and likely annuli where the lake offers them."""
    # Brings in libraries that a process which serves phones starts without.
    from samples.lab.services.profile import profile_of

    pictures = Picture.objects.filter(vial__in=vials_at(request.user, lake))
    picture = get_object_or_404(pictures, pk=pk)
    suggest = request.GET.get("suggest") == "yes"
    if suggest and not lake.suggest_annuli:
        return _refusal("suggestions_off", "Suggested annuli are switched off for this lake.")
    radius = _radius(request.GET)
    if radius is None:
        return _refusal("no_radius", forms.NO_RADIUS)
    dark = request.GET.get("annuli") != "light"
    try:
        found = profile_of(picture, radius, suggest=suggest, dark=dark)
    except services.CannotRead as problem:
        return _refusal(problem.code, problem.sentence)
    return JsonResponse(
        {
            "brightness": found.brightness,
            "positions_px": found.positions_px,
            "sentence": found.sentence,
        }
    )


def _refusal(code: str, sentence: str) -> JsonResponse:
    return JsonResponse({"code": code, "sentence": sentence}, status=422)


def _radius(typed: QueryDict) -> DrawnRadius | None:
    try:
        x1, y1, x2, y2 = (float(typed.get(name, "")) for name in ENDS)
    except ValueError:
        return None
    if not all(map(math.isfinite, (x1, y1, x2, y2))):
        return None
    return DrawnRadius((x1, y1), (x2, y2))


def _page(request: SignedInRequest, lake: Lake, number: str) -> MarksPage:
    vials = vials_at(request.user, lake).select_related("fish__species", "fish__arm")
    vial = get_object_or_404(vials, number=keepable(number), fish__isnull=False)
    asked = request.GET.get("picture", "")
    picture = picture_to_mark(lake, vial, asked)
    if picture is None:
        raise Http404("This vial has no picture.")
    refuse_another_picture(request, picture, asked)
    today = local_day(timezone.now(), lake.time_zone)
    return marks_page(picture, vial.fish, request.user, today=today)


def refuse_another_picture(request: SignedInRequest, picture: Picture, asked: str) -> None:
    """Refuse marks of a picture that is of another vial by now: its pixels are not this one's."""
    if request.method == "POST" and asked and asked != str(picture.pk):
        raise Http404("This picture is of another vial now.")


def _address(lake: Lake, page: MarksPage) -> str:
    address = reverse("lab:marks", args=[lake.slug, page.vial.number])
    return f"{address}?picture={page.picture.pk}"


def _initial(page: MarksPage) -> dict[str, Any]:
    if page.reading is None:
        return {}
    names = ("margin", "readability", "method", "light", "note")
    return {name: getattr(page.reading, name) for name in names}


def _marks_page(
    request: SignedInRequest,
    lake: Lake,
    page: MarksPage,
    form: forms.MarksForm,
    questions: tuple[Question, ...] = (),
    *,
    status: int = 200,
) -> HttpResponse:
    return render(
        request, "lab/marks.html", marks_context(lake, page, form, questions), status=status
    )


def marks_context(
    lake: Lake, page: MarksPage, form: forms.MarksForm, questions: tuple[Question, ...]
) -> dict[str, Any]:
    return {
        "lake": lake,
        "page": page,
        "picture": page.picture,
        "tiles_ready": bool(page.picture.tiles),
        "form": form,
        "drawn": {"own": page.own, "layers": page.layers},
        "questions": questions,
        "codes": " ".join(question.code for question in questions),
    }
