"""The donors of a lake: what each gave, their cards and addresses."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.donors import forms, pdf, queries, services
from samples.donors.presenters.cards import card_of, certificate_of, fish_of_note
from samples.donors.views.parts import NOT_OF_NOTE, pdf_response, today_at
from samples.models import Donor, DonorAddress, Fish, Lake, Season


def donor_at(lake: Lake, pk: int) -> Donor:
    return get_object_or_404(Donor.objects.select_related("lake", "person"), lake=lake, pk=pk)


@require_safe
@never_cache
@lake_permission_required(Permission.SEE_DONORS)
def donors(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the donors of a lake, and what they get."""
    initial = {"shares_pictures": lake.shares_pictures, "mails_donors": lake.mails_donors}
    context = {
        "lake": lake,
        "donors": queries.donors_of(lake),
        "form": forms.SwitchesForm(initial=initial),
        "is_mail_set_up": services.is_mail_set_up(),
    }
    return render(request, "donors/donors.html", context)


@require_POST
@lake_permission_required(Permission.SEE_DONORS)
def switches(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Switch pictures and mail for donors on or off."""
    form = forms.SwitchesForm(request.POST)
    form.is_valid()
    services.set_switches(lake, **form.cleaned_data, actor=request.user, now=timezone.now())
    messages.success(request, "Saved.")
    return redirect("donors:donors", lake.slug)


@require_safe
@never_cache
@lake_permission_required(Permission.SEE_DONORS)
def donor(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one donor: seasons with their cards, fish of note, and the address for mail."""
    found = donor_at(lake, pk)
    return _donor_page(request, found, forms.AddressForm(of_other=True, initial=_address(found)))


def _address(found: Donor) -> dict[str, Any]:
    return services.address_as_typed(DonorAddress.objects.filter(donor=found).first())


def _donor_page(
    request: SignedInRequest, found: Donor, form: forms.AddressForm, *, status: int = 200
) -> HttpResponse:
    context = {
        "lake": found.lake,
        "donor": found,
        "seasons": queries.seasons_of(found),
        "of_note": fish_of_note(found),
        "address": DonorAddress.objects.filter(donor=found).first(),
        "form": form,
    }
    return render(request, "donors/donor.html", context, status=status)


@require_http_methods(["POST"])
@lake_permission_required(Permission.SEE_DONORS)
def address(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Note where a donor wants mail, or take the address out."""
    found = donor_at(lake, pk)
    if "remove" in request.POST:
        services.take_out_address(found)
        messages.success(request, "The address is deleted.")
        return redirect("donors:donor", lake.slug, pk)
    form = forms.AddressForm(request.POST, of_other=True)
    if not form.is_valid():
        return _donor_page(request, found, form, status=422)
    noted = services.note_address(
        found, email=form.cleaned_data["email"], actor=request.user, now=timezone.now()
    )
    if noted is None:
        messages.error(request, "This donor is forgotten: no address is kept.", extra_tags="gone")
    else:
        messages.success(request, "The address is saved.")
    return redirect("donors:donor", lake.slug, pk)


@require_safe
@lake_permission_required(Permission.SEE_DONORS)
def card(request: SignedInRequest, lake: Lake, pk: int, season_pk: int) -> HttpResponse:
    """Draw the card of one donor's season."""
    found = donor_at(lake, pk)
    season = get_object_or_404(Season, lake=lake, pk=season_pk)
    drawn = card_of(found, season, today=today_at(lake))
    if drawn is None:
        messages.error(request, f"No fish in season {season}.", extra_tags="no_fish")
        return redirect("donors:donor", lake.slug, pk)
    return pdf_response(
        pdf.card_pdf(drawn, request.GET.get("paper", "")), f"season card {season} donor {pk}"
    )


@require_safe
@lake_permission_required(Permission.SEE_DONORS)
def certificate(request: SignedInRequest, lake: Lake, pk: int, fish_pk: int) -> HttpResponse:
    """Draw the certificate of one donor's fish of note."""
    found = donor_at(lake, pk)
    rows = Fish.objects.filter(donor=found, lake=lake, withdrawn=False)
    joined = rows.select_related("species", "vial", "season", "age", "age_as_given")
    drawn = certificate_of(get_object_or_404(joined, pk=fish_pk), found, today=today_at(lake))
    if drawn is None:
        messages.error(request, NOT_OF_NOTE, extra_tags="not_of_note")
        return redirect("donors:donor", lake.slug, pk)
    return pdf_response(
        pdf.certificate_pdf(drawn, request.GET.get("paper", "")), f"certificate {drawn.titles[0]}"
    )
