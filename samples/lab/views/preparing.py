"""Preparing otoliths: vials to section, work under way, and the preparations of one vial."""

from django.contrib import messages
from django.forms import model_to_dict
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import vials_at
from samples.lab import forms, services
from samples.lab.queries.preparing import (
    next_place,
    preparations_of,
    requests_of,
    under_way,
    vials_to_section,
)
from samples.models import Fish, Lake, Preparation, Vial
from samples.rules.lake_time import local_day
from samples.rules.vial_number import grouped

MAY_PREPARE = Permission.PREPARE_OTOLITHS


@require_safe
@lake_permission_required(MAY_PREPARE)
def preparations(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the vials to section and the preparations under way; find the vial to prepare."""
    form = forms.FindVialForm(request.GET if "vial" in request.GET else None)
    if form.is_bound and form.is_valid():
        number = form.cleaned_data["vial"]
        if vials_at(request.user, lake).filter(number=number).exists():
            return redirect("lab:prepare", lake.slug, number)
        form.add_problem("vial", "No vial of this lake has that number.", code="unknown_vial")
    context = {
        "lake": lake,
        "form": form,
        "to_section": vials_to_section(request.user, lake),
        "under_way": under_way(request.user, lake),
        "today": local_day(timezone.now(), lake.time_zone),
    }
    return render(request, "lab/preparations.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(MAY_PREPARE)
def prepare(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Show the preparations of one vial, and begin another one."""
    vial = get_object_or_404(vials_at(request.user, lake), number=number)
    if request.method != "POST":
        is_asked = services.open_requests(vial).exists()
        proposed = {"kind": Preparation.Kind.SECTION} if is_asked else {}
        form = forms.PreparationForm(initial=proposed, next_place=next_place(lake))
        return _vial_page(request, lake, vial, form)
    form = forms.PreparationForm(request.POST, next_place=next_place(lake))
    if not form.is_valid():
        return _vial_page(request, lake, vial, form, status=422)
    try:
        made = services.add_preparation(
            vial=vial,
            kind=form.cleaned_data["kind"],
            facts=form.facts(),
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotPrepare as problem:
        form.add_problem(problem.field, problem.sentence, code=problem.code)
        return _vial_page(request, lake, vial, form, status=422)
    messages.success(request, f"Preparation {made.number} of {grouped(number)} is added.")
    return redirect("lab:prepare", lake.slug, number)


def _vial_page(
    request: SignedInRequest,
    lake: Lake,
    vial: Vial,
    form: forms.PreparationForm,
    *,
    status: int = 200,
) -> HttpResponse:
    rows = preparations_of(vial)
    context = {
        "lake": lake,
        "vial": vial,
        "fish": Fish.objects.filter(vial=vial).select_related("species", "arm").first(),
        "rows": rows,
        "requests": requests_of(vial),
        "form": form,
        "today": local_day(timezone.now(), lake.time_zone),
        # The one otolith, or the last that is whole, goes under the blade only on purpose.
        "is_last_otolith": vial.content == Vial.Content.ONE or bool(rows),
        "may_decide": has_permission(request.user, Permission.DECIDE_AGES, lake),
    }
    return render(request, "lab/prepare.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(MAY_PREPARE)
def preparation(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Change side, condition, slide, place or note of a preparation, or mark it spoiled."""
    found = _preparation(request, lake, pk)
    if request.method != "POST":
        return _preparation_page(request, lake, found, _form_of(found))
    form = forms.PreparationForm(request.POST, next_place=next_place(lake), has_kind=False)
    if form.is_valid():
        try:
            services.change_preparation(
                preparation=found, facts=form.facts(), actor=request.user, now=timezone.now()
            )
        except services.CannotPrepare as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            messages.success(request, f"Preparation {found.number} is saved.")
            return redirect("lab:prepare", lake.slug, found.vial.number)
    return _preparation_page(request, lake, found, form, status=422)


@require_POST
@lake_permission_required(MAY_PREPARE)
def spoil(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Note that a preparation is spoiled."""
    found = _preparation(request, lake, pk)
    form = forms.SpoiledForm(request.POST)
    if not form.is_valid():
        facts = _form_of(found)
        return _preparation_page(request, lake, found, facts, spoiled=form, status=422)
    services.spoil(
        preparation=found, why=form.cleaned_data["why"], actor=request.user, now=timezone.now()
    )
    messages.success(request, f"Preparation {found.number} is marked spoiled.")
    return redirect("lab:prepare", lake.slug, found.vial.number)


@require_POST
@lake_permission_required(MAY_PREPARE)
def restore(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take back that a preparation is spoiled."""
    found = _preparation(request, lake, pk)
    services.restore(preparation=found, actor=request.user, now=timezone.now())
    messages.success(request, f"Preparation {found.number} is no longer marked spoiled.")
    return redirect("lab:prepare", lake.slug, found.vial.number)


@require_POST
@lake_permission_required(MAY_PREPARE)
def add_step(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Note one step of the work."""
    found = _preparation(request, lake, pk)
    form = forms.StepForm(request.POST)
    now = timezone.now()
    if not form.is_valid():
        messages.error(request, form.problems[0][1], extra_tags="step")
        return _after_step(request, lake, found)
    try:
        step = services.add_step(
            preparation=found,
            **form.cleaned_data,
            actor=request.user,
            now=now,
            today=local_day(now, lake.time_zone),
        )
    except services.CannotPrepare as problem:
        messages.error(request, problem.sentence, extra_tags=problem.code)
    else:
        what = f"Preparation {found.number} of {grouped(found.vial.number)}"
        messages.success(request, f"{what}: {step.get_kind_display().lower()}.")
    return _after_step(request, lake, found)


@require_POST
@lake_permission_required(MAY_PREPARE)
def remove_step(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take the last step back."""
    found = _preparation(request, lake, pk)
    name = services.remove_step(preparation=found, actor=request.user, now=timezone.now())
    if name:
        messages.success(request, f"Step “{name}” of preparation {found.number} is removed.")
    else:
        messages.error(request, "There is no step to undo.", extra_tags="no_step")
    return _after_step(request, lake, found)


def _after_step(request: SignedInRequest, lake: Lake, found: Preparation) -> HttpResponse:
    if request.POST.get("from") == "list":
        return redirect("lab:preparations", lake.slug)
    return redirect("lab:prepare", lake.slug, found.vial.number)


@require_POST
@lake_permission_required(MAY_PREPARE)
def drop_requests(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Take a vial off the list of those to section."""
    vial = get_object_or_404(vials_at(request.user, lake), number=number)
    dropped = services.drop_requests(vial=vial, actor=request.user, now=timezone.now())
    if dropped:
        messages.success(request, f"{grouped(number)} is off the list. Who asked stays on record.")
    else:
        messages.error(request, f"{grouped(number)} is not on the list.", extra_tags="not_asked")
    return redirect("lab:preparations", lake.slug)


def _preparation(request: SignedInRequest, lake: Lake, pk: int) -> Preparation:
    own = Preparation.objects.filter(vial__in=vials_at(request.user, lake))
    return get_object_or_404(own.select_related("vial", "lake"), pk=pk)


def _form_of(found: Preparation) -> forms.PreparationForm:
    return forms.PreparationForm(
        initial=model_to_dict(found), next_place=next_place(found.lake), has_kind=False
    )


def _preparation_page(
    request: SignedInRequest,
    lake: Lake,
    found: Preparation,
    form: forms.PreparationForm,
    *,
    spoiled: forms.SpoiledForm | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "lake": lake,
        "preparation": found,
        # The summary on top speaks of the form that was sent.
        "form": spoiled or form,
        "facts": form,
        "spoiled": spoiled or forms.SpoiledForm(),
    }
    return render(request, "lab/preparation.html", context, status=status)
