"""Uploading pictures, many at once, and confirming which vial each is of."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import TemporaryUploadedFile, UploadedFile
from django.core.paginator import Paginator
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.form_parts import PlainForm
from samples.models import Lake, Objective, Picture, User, Vial
from samples.pictures import computed, forms, queries, services
from samples.rules.vial_number import grouped


@contextmanager
def on_disk(upload: UploadedFile) -> Iterator[Path]:
    """Yield an uploaded file as a path; a small one is in memory and is written out."""
    if isinstance(upload, TemporaryUploadedFile):
        yield Path(upload.temporary_file_path())
        return
    with NamedTemporaryFile(prefix="earstone-upload-") as file:
        for part in upload.chunks():
            file.write(part)
        file.flush()
        yield Path(file.name)


@dataclass(frozen=True, slots=True)
class UploadAnswer:
    """What became of one file."""

    name: str
    code: str
    sentence: str
    picture: Picture | None = None

    @property
    def is_kept(self) -> bool:
        return self.picture is not None


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def upload(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take in the files that a form sends together; the page's script sends them one by one."""
    objectives = queries.objectives_at(lake)
    if request.method != "POST":
        form = forms.UploadForm(objectives=objectives)
        return _upload_page(request, lake, form)
    form = forms.UploadForm(request.POST, objectives=objectives)
    files = request.FILES.getlist("files")
    if not files:
        form.add_problem(None, "Choose one picture or more.", code="no_file")
    if not form.is_valid():
        return _upload_page(request, lake, form, status=422)
    objective = form.cleaned_data["objective"]
    answers = [_keep(one, request.user, lake, objective) for one in files]
    if all(answer.is_kept for answer in answers):
        return redirect("pictures:confirm", lake.slug)
    return _upload_page(request, lake, form, answers, status=422)


@require_POST
@lake_permission_required(Permission.READ_OTOLITHS)
def upload_one(request: SignedInRequest, lake: Lake) -> JsonResponse:
    """Take in one file that the page's script sends, and say what became of it."""
    form = forms.UploadForm(request.POST, objectives=queries.objectives_at(lake))
    file = request.FILES.get("file")
    if not isinstance(file, UploadedFile) or not form.is_valid():
        sentence = "The page sent no file. Reload it."
        return JsonResponse({"code": "no_file", "sentence": sentence}, status=400)
    answer = _keep(file, request.user, lake, form.cleaned_data["objective"])
    told = {"code": answer.code, "sentence": answer.sentence}
    if answer.picture is None:
        return JsonResponse(told, status=422)
    small = reverse("pictures:thumbnail", args=[lake.slug, answer.picture.pk])
    return JsonResponse({**told, "thumbnail": small})


def _keep(
    file: UploadedFile, author: User, lake: Lake, objective: Objective | None
) -> UploadAnswer:
    name, now = file.name or "", timezone.now()
    try:
        with on_disk(file) as path:
            kept = services.keep_picture(
                path, name=name, lake=lake, author=author, now=now, objective=objective
            )
    except services.CannotKeepPicture as problem:
        return UploadAnswer(name, problem.code, problem.sentence)
    computed.request_tiles(kept.picture, now=now)
    return UploadAnswer(name, *_told(kept), kept.picture)


def _told(kept: services.KeptPicture) -> tuple[str, str]:
    picture = kept.picture
    if not kept.is_new:
        of = f" for vial {grouped(picture.vial.number)}" if picture.vial else ""
        return "known", f"Already uploaded as \u201c{picture.original_name}\u201d{of}."
    if picture.suggested_vial is not None:
        return "matched", f"Vial {grouped(picture.suggested_vial.number)}"
    return "aside", f"Kept aside. {queries.why_aside([picture])[picture.pk]}"


def _upload_page(
    request: SignedInRequest,
    lake: Lake,
    form: forms.UploadForm,
    answers: list[UploadAnswer] | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    context = {
        "lake": lake,
        "form": form,
        "answers": answers or [],
        "refused": [one for one in answers or [] if not one.is_kept],
        "aside_count": queries.pictures_aside(lake).count(),
        "most_bytes": services.MOST_BYTES,
    }
    return render(request, "pictures/upload.html", context, status=status)


# ---------- Which vial ----------


@dataclass(frozen=True, slots=True)
class ConfirmRow:
    """One picture that is kept aside, with its form."""

    picture: Picture
    form: forms.ConfirmForm
    why: str


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def confirm(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show pictures that are kept aside with the vials their names say; confirm them together."""
    if request.method != "POST":
        return _confirm_page(request, lake)
    asked = [int(pk) for pk in request.POST.getlist("picture") if pk.isdecimal() and len(pk) < 19]
    found = queries.pictures_aside(lake).filter(pk__in=asked[: queries.ROWS_TO_CONFIRM])
    bound = {one.pk: forms.ConfirmForm(request.POST, **_names(one)) for one in found}
    filed = 0
    for picture in found:
        form = bound[picture.pk]
        if form.is_valid() and form.cleaned_data["vial"]:
            filed += file_as_typed(
                picture,
                form,
                side=form.cleaned_data["side"],
                note=picture.note,
                objective=picture.objective,
                actor=request.user,
            )
    if filed:
        messages.success(request, f"{filed} picture{'' if filed == 1 else 's'} confirmed.")
    if any(form.errors for form in bound.values()):
        return _confirm_page(request, lake, bound, status=422)
    return redirect("pictures:confirm" if filed < len(bound) else "pictures:pictures", lake.slug)


def file_as_typed(
    picture: Picture,
    form: PlainForm,
    *,
    side: str,
    note: str,
    objective: Objective | None,
    actor: User,
) -> bool:
    """File a picture under the vial typed, or aside without one; say in the form why not."""
    number = form.cleaned_data["vial"]
    vial = Vial.objects.filter(lake=picture.lake_id, number=number).first() if number else None
    if number and vial is None:
        form.add_problem("vial", "No vial of this lake has that number.", code="unknown_vial")
        return False
    try:
        services.file_picture(
            picture=picture,
            vial=vial,
            side=side,
            note=note,
            objective=objective,
            actor=actor,
            now=timezone.now(),
        )
    except services.CannotChangePicture as problem:
        form.add_problem(problem.field, problem.sentence, code=problem.code)
        return False
    return True


def _names(picture: Picture) -> dict[str, Any]:
    return {"prefix": str(picture.pk), "auto_id": "id_%s"}


def _confirm_page(
    request: SignedInRequest,
    lake: Lake,
    bound: dict[int, forms.ConfirmForm] | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    paginator = Paginator(queries.pictures_aside(lake), queries.ROWS_TO_CONFIRM)
    page = paginator.get_page(request.GET.get("page"))
    pictures = list(page.object_list)
    reasons = queries.why_aside(pictures)
    rows = [
        ConfirmRow(
            one,
            (bound or {}).get(one.pk) or _unbound(one),
            reasons.get(one.pk, ""),
        )
        for one in pictures
    ]
    context = {
        "lake": lake,
        "page": page,
        "rows": rows,
        "matched": sum(1 for one in pictures if one.suggested_vial_id is not None),
        "problems": [problem for row in rows for problem in row.form.problems if row.form.is_bound],
    }
    return render(request, "pictures/confirm.html", context, status=status)


def _unbound(picture: Picture) -> forms.ConfirmForm:
    vial = picture.suggested_vial
    initial = {"vial": grouped(vial.number) if vial else "", "side": picture.side}
    return forms.ConfirmForm(initial=initial, **_names(picture))
