"""Labels that are looked at before they are printed: pictures of the sheets themselves."""

from __future__ import annotations

from urllib.parse import urlencode
from uuid import uuid4

from django.http import HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import LabelPrint, Lake
from samples.rules import vial_number
from samples.vials import forms, queries, services
from samples.vials.geometry import CannotPrint
from samples.vials.presenters.sheets import PrintPlan, label_png, sheet_png, sheets_of


def plan_of(form: forms.PlannedForm) -> PrintPlan:
    """Return the labels that a form asks for, as they would be printed now.

    :raises CannotPrint: if a position is not there
    :raises NoSuchNumber: if the year has not so many numbers
    """
    first_position = form.words["first_position"]
    return PrintPlan(form.lake, form.chosen, form.labels(), first_position, form.filling())


def sheets_context(form: forms.PlannedForm) -> dict[str, object]:
    """Return what templates show of the sheets that a form asks for."""
    sheets, problem = None, ""
    if form.is_complete():
        try:
            sheets = sheets_of(plan_of(form))
        except CannotPrint as why:
            problem = str(why)
        except vial_number.NoSuchNumber as why:
            problem = _say_none_left(form, why)
    return {
        "form": form,
        "stock": form.chosen,
        "sheets": sheets,
        "sheets_problem": problem,
        "picture_query": urlencode(form.asked()) if sheets else "",
    }


def _say_none_left(form: forms.PlannedForm, why: vial_number.NoSuchNumber) -> str:
    """Mark the count that asks for more numbers than are left; else return what to say instead."""
    if not isinstance(form, forms.MakeLabels):
        return str(why)
    try:
        services.check_numbers_left(form.words["season"].number_year, form.words["count"])
    except services.CannotMakeRun as problem:
        if not form.is_bound:
            return str(problem)
        form.add_problem("count", str(problem), code=problem.code)
        return ""
    return str(why)


def made_before(request: SignedInRequest, form: forms.PlannedForm) -> LabelPrint | None:
    """Return what a second tap made by its first, which used the sheet that the second names."""
    if request.method != "POST" or "see" in request.POST or form.is_valid():
        return None
    if {error.code for error in form.errors.as_data().get("sheet", [])} != {"invalid_choice"}:
        return None
    return queries.find_made(form.lake, request.POST.get("request_id", ""))


@require_safe
@never_cache
@lake_permission_required(Permission.PRINT_LABELS)
def picture(request: SignedInRequest, lake: Lake, page: int) -> HttpResponse:
    """Show one sheet of labels that are not printed yet; as page 0, one label enlarged."""
    words = request.GET.dict() | {"request_id": str(uuid4())}
    kind = forms.Reprint if "numbers" in words else forms.MakeLabels
    form = kind(words, lake=lake)
    if not form.is_valid():
        return no_picture("These labels can't be printed.")
    try:
        png = sheet_png(plan_of(form), page) if page else label_png(plan_of(form))
    except (CannotPrint, vial_number.NoSuchNumber) as why:
        return no_picture(str(why))
    return HttpResponse(png, content_type="image/png")


def no_picture(why: str) -> HttpResponse:
    """Answer for a picture that can't be drawn: the page that asks for it says so too."""
    return HttpResponse(why, status=422, content_type="text/plain; charset=utf-8")
