"""What a donor sees of their own: card, certificate, picture, and mail."""

from django.contrib import messages
from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from samples.accounts.decorators import (
    SignedInRequest,
    lake_permission_required,
    permission_required,
)
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import fish_logged_by
from samples.donors import forms, pdf, queries, services
from samples.donors.presenters.cards import card_of, certificate_of
from samples.donors.views.parts import NOT_OF_NOTE, pdf_response, today_at
from samples.models import Donor, DonorAddress, Lake, Season
from samples.pictures.views.files import NOTHING_RUNS


@require_safe
@permission_required(Permission.LOG_FISH)
def card(request: SignedInRequest, season_pk: int) -> HttpResponse:
    """Draw the card of a person's own season."""
    lakes = lakes_with_permission(request.user, Permission.LOG_FISH)
    season = get_object_or_404(Season.objects.select_related("lake"), pk=season_pk, lake__in=lakes)
    donor = _own_donor(request, season.lake)
    found = card_of(donor, season, today=today_at(season.lake)) if donor else None
    if found is None:
        messages.error(request, f"No fish of yours in season {season}.", extra_tags="no_fish")
        return redirect("ramp:mine")
    return pdf_response(
        pdf.card_pdf(found, request.GET.get("paper", "")), f"my fish {season.lake} {season}"
    )


@require_safe
@permission_required(Permission.LOG_FISH)
def certificate(request: SignedInRequest, pk: int) -> HttpResponse:
    """Draw the certificate of a fish of note that a person donated."""
    own = fish_logged_by(request.user).filter(withdrawn=False)
    joined = own.select_related(
        "species", "vial", "season", "lake", "age", "age_as_given", "donor__lake"
    )
    fish = get_object_or_404(joined, pk=pk)
    is_donor = fish.donor is not None and fish.donor.person_id == request.user.pk
    found = (
        certificate_of(fish, fish.donor, today=today_at(fish.lake))
        if fish.donor is not None and is_donor
        else None
    )
    if found is None:
        messages.error(request, NOT_OF_NOTE, extra_tags="not_of_note")
        return redirect("ramp:mine")
    return pdf_response(
        pdf.certificate_pdf(found, request.GET.get("paper", "")), f"certificate {found.titles[0]}"
    )


@require_safe
@permission_required(Permission.LOG_FISH)
def picture(request: SignedInRequest, pk: int) -> HttpResponseBase:
    """Send the otolith's picture of a person's own fish, if its lake shares pictures.

    It is always a copy of ours, written anew without what a camera noted.
    """
    found = queries.shared_picture(fish_logged_by(request.user).filter(withdrawn=False), pk)
    if found is None:
        raise Http404("No picture of this fish.")
    is_small = request.GET.get("size") == "small"
    file, sha256 = (
        (found.thumbnail, found.thumbnail_sha256) if is_small else (found.file, found.sha256)
    )
    etag = f'"{sha256}"'
    response = get_conditional_response(request, etag=etag) or _sent(file)
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    response["Content-Security-Policy"] = NOTHING_RUNS
    return response


def _sent(file: FieldFile) -> FileResponse:
    try:
        file.open("rb")
    except FileNotFoundError as problem:
        raise Http404("The file of this picture is missing.") from problem
    return FileResponse(file, content_type="image/jpeg", filename="otolith.jpg")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.LOG_FISH)
def mail(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Let a donor give an address for messages of a lake, change it or take it out."""
    donor = _own_donor(request, lake)
    if donor is None or not lake.mails_donors:
        messages.error(request, f"{lake} sends no email to you.", extra_tags="no_mail")
        return redirect("ramp:mine")
    known = DonorAddress.objects.filter(donor=donor).first()
    if request.method == "POST" and "remove" in request.POST:
        services.take_out_address(donor)
        messages.success(request, "Your address is deleted. You get no more emails.")
        return redirect("ramp:mine")
    initial = services.address_as_typed(known)
    form = forms.AddressForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        services.note_address(
            donor, email=form.cleaned_data["email"], actor=request.user, now=timezone.now()
        )
        messages.success(request, f"Saved. Messages from {lake} will be emailed to you.")
        return redirect("ramp:mine")
    context = {"lake": lake, "form": form, "known": known}
    status = 422 if request.method == "POST" else 200
    return render(request, "donors/own_mail.html", context, status=status)


def _own_donor(request: SignedInRequest, lake: Lake) -> Donor | None:
    own = Donor.objects.select_related("lake").filter(lake=lake, person=request.user)
    return own.first()
