"""The reading grid, and the door through which its script saves a row."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import vials_at
from samples.lab import forms, queries, rules, services
from samples.lab.queries.preparing import readable_preparations
from samples.models import Lake, Reading, User
from samples.rules import vial_number
from samples.rules.lake_time import local_day
from samples.rules.plain_text import keepable
from samples.rules.plausible import Question

NO_SUCH_VIAL = "No vial of this lake has that number."


@dataclass(slots=True)
class TypedRow:
    """One row as it stands on the page: what is in its fields and what is said beside them."""

    row: queries.GridRow
    values: dict[str, Any]
    errors: dict[str, list[str]] = field(default_factory=dict)
    questions: tuple[Question, ...] = ()
    preparations: list[tuple[str, str]] = field(default_factory=list)

    @property
    def has_details(self) -> bool:
        """Return whether side, light, axis or a note is noted, so that it is shown unfolded."""
        return any(self.values[name] for name in forms.MORE)

    @property
    def codes(self) -> str:
        """Return what one yes confirms: everything that was asked."""
        return " ".join(question.code for question in self.questions)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def grid(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the vials to read as a grid; without a script, keep one row of it."""
    if request.method != "POST":
        return _grid_page(request, lake)
    form = _row_form(request.POST, lake)
    errors = _errors(form)
    questions: tuple[Question, ...] = ()
    if form.is_valid():
        try:
            saved = _save_row(request.user, lake, form, request.POST.get("confirmed", "").split())
        except services.CannotRead as problem:
            errors = {problem.field: [problem.sentence]}
        except services.ReadingNeedsConfirmation as asked:
            questions = asked.questions
        else:
            words = vial_number.grouped(saved.reading.vial.number)
            messages.success(request, f"{words} saved. {saved.result.sentence}")
            return redirect(f"{request.get_full_path()}#row-{saved.reading.vial.number}")
    return _grid_page(request, lake, request.POST, errors, questions, status=422)


@require_POST
@lake_permission_required(Permission.READ_OTOLITHS)
def save_row(request: SignedInRequest, lake: Lake) -> JsonResponse:
    """Keep one row that the grid's script sends, and say what the rule makes of it."""
    try:
        payload = json.loads(request.body)
    except ValueError:
        payload = None
    if not isinstance(payload, dict):
        return JsonResponse(
            {"errors": {"": ["The page sent nothing readable. Reload it."]}}, status=400
        )
    typed = {name: "" if value is None else str(value) for name, value in payload.items()}
    form = _row_form(typed, lake)
    if not form.is_valid():
        return JsonResponse({"errors": _errors(form), "questions": []}, status=422)
    confirmed = payload.get("confirmed")
    codes = [str(code) for code in confirmed] if isinstance(confirmed, list) else []
    try:
        saved = _save_row(request.user, lake, form, codes)
    except services.CannotRead as problem:
        errors = {problem.field: [problem.sentence]}
        return JsonResponse({"errors": errors, "questions": []}, status=422)
    except services.ReadingNeedsConfirmation as asked:
        questions = [
            {"code": one.code, "field": one.field, "sentence": one.sentence}
            for one in asked.questions
        ]
        return JsonResponse({"errors": {}, "questions": questions}, status=422)
    return JsonResponse(_row_answer(saved, lake))


def _row_answer(saved: services.Saved, lake: Lake) -> dict[str, Any]:
    """Return what came of the reader's own count; what others read stays out of it."""
    result = saved.result
    return {
        "saved": True,
        "created": saved.created,
        "vial": saved.reading.vial.number,
        "take_back": reverse("lab:take_back", args=[lake.slug, saved.reading.pk]),
        "age": result.age,
        "year_class": result.year_class,
        "rule": result.rule,
        "sentence": result.sentence,
        "flags": rules.flag_sentences([*result.flags, *saved.reading.slip_answers]),
    }


def _row_form(typed: Mapping[str, str], lake: Lake) -> forms.GridRowForm:
    """Return the form of a row, which knows the preparations of its vial."""
    if not typed.get("preparation"):
        return forms.GridRowForm(typed)
    vials = lake.vials.filter(number=keepable(typed.get("vial", "")))
    of_vial = readable_preparations(vials).values()
    return forms.GridRowForm(typed, preparations=[one for found in of_vial for one in found])


def _errors(form: forms.GridRowForm) -> dict[str, list[str]]:
    return {name: [str(words) for words in found] for name, found in form.errors.items()}


def _save_row(
    reader: User, lake: Lake, form: forms.GridRowForm, confirmed: list[str]
) -> services.Saved:
    vial = vials_at(reader, lake).filter(number=form.cleaned_data["vial"]).first()
    if vial is None:
        raise services.CannotRead("unknown_vial", NO_SUCH_VIAL)
    now = timezone.now()
    return services.save_reading(
        vial=vial,
        reader=reader,
        sitting_on=local_day(now, lake.time_zone),
        now=now,
        confirmed=confirmed,
        **form.facts(),
    )


def _grid_page(
    request: SignedInRequest,
    lake: Lake,
    data: QueryDict | None = None,
    errors: dict[str, list[str]] | None = None,
    questions: tuple[Question, ...] = (),
    *,
    status: int = 200,
) -> HttpResponse:
    today = local_day(timezone.now(), lake.time_zone)
    filter_form = forms.GridFilter(
        request.GET,
        species=list(queries.species_at(lake).values()),
        arms=list(lake.arms.order_by("position", "name")),
    )
    vials = queries.grid_vials(request.user, lake, filter_form.criteria, today=today)
    paginator = Paginator(queries.with_what_a_row_shows(vials), queries.ROWS_ON_A_PAGE)
    # A link from elsewhere names the vial, and opens the page that it stands on.
    sought = keepable(request.GET.get("vial", ""))
    holding = queries.page_holding(vials, sought) if sought else None
    page = paginator.get_page(request.GET.get("page") or holding)
    grid_rows = queries.grid_rows(page.object_list, request.user, lake, today=today)
    prepared = readable_preparations(row.vial for row in grid_rows)
    rows = [
        TypedRow(
            row,
            _values(row.reading, filter_form.method_to_start_with),
            preparations=[
                (str(one.pk), forms.preparation_name(one)) for one in prepared.get(row.vial.pk, [])
            ],
        )
        for row in grid_rows
    ]
    waiting = queries.count_waiting(request.user, vials)
    stray = [] if data is None else _restore_typed(rows, data, errors or {}, questions)
    context = {
        "lake": lake,
        "today": today,
        "filter_form": filter_form,
        "page": page,
        "not_here": sought if sought and holding is None else "",
        "rows": rows,
        "stray": stray,
        "waiting": waiting,
        "read_by_you": paginator.count - waiting,
        "methods": forms.METHODS,
        "readable": forms.READABLE,
        "sides": forms.SIDES,
        "lights": forms.LIGHTS,
        "needs": forms.NEEDS,
        "may_decide": has_permission(request.user, Permission.DECIDE_AGES, lake),
    }
    return render(request, "lab/grid.html", context, status=status)


def _values(reading: Reading | None, method: str) -> dict[str, str]:
    """Put a reading of this sitting back into its fields, or start an empty row."""
    if reading is None:
        empty = dict.fromkeys(("annuli", "margin", "readability", *forms.MORE), "")
        return {**empty, "method": method}
    return {
        "annuli": str(reading.annuli),
        "margin": str(reading.margin or ""),
        "readability": str(reading.readability or ""),
        "method": reading.method,
        **{name: getattr(reading, name) for name in ("side", "light", "axis", "note")},
        "preparation": str(reading.preparation_id or ""),
        "needs_section": "yes" if reading.needs_section else "",
    }


def _restore_typed(
    rows: list[TypedRow],
    data: QueryDict,
    errors: dict[str, list[str]],
    questions: tuple[Question, ...],
) -> list[str]:
    """Keep what was typed in its row; give what is to be said where the row is not here."""
    number = data.get("vial", "")
    for typed in rows:
        if typed.row.vial.number == number:
            typed.values = {name: data.get(name, "") for name in typed.values}
            typed.errors, typed.questions = errors, questions
            return []
    sentences = [words for found in errors.values() for words in found]
    return sentences + [question.sentence for question in questions]
