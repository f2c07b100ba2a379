"""The biologist words the list, sends it, and sees what came in."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.views.people import site_address
from samples.asks import forms, pdf, queries, services
from samples.asks.parts import Draft
from samples.asks.presenters.draft import draft_of
from samples.asks.presenters.text import sent_on, text_of
from samples.models import Ask, Lake, Season
from samples.rules.lake_time import local_day
from samples.targets.queries.asks import Line, ask_in_force, lines_of
from samples.units import HUNDREDTHS_PER_INCH, HUNDREDTHS_PER_MILLIMETRE, LengthUnit
from samples.vials.queries import people_who_log

# Of the rulers on a poster.
TICKS = {LengthUnit.INCH: 1, LengthUnit.MILLIMETRE: 25}
HUNDREDTHS = {
    LengthUnit.INCH: HUNDREDTHS_PER_INCH,
    LengthUnit.MILLIMETRE: HUNDREDTHS_PER_MILLIMETRE,
}
NO_SEASON = Draft(0, (), "")


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_TARGETS)
def asks(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the list by rule to be worded and sent, the one that is out, and what came in."""
    now = timezone.now()
    out = ask_in_force(lake, now=now)
    draft = draft_of(lake, local_day(now, lake.time_zone), out)
    form = forms.AskForm(
        request.POST or None,
        lake=lake,
        draft=draft or NO_SEASON,
        is_public=out.is_public if out else False,
    )
    if request.method == "POST" and form.is_valid():
        return _send(request, lake, form)
    context = {
        "lake": lake,
        "form": form,
        "draft": draft and form.written,
        "people": people_who_log(lake).count(),
        "sent": queries.sent_asks(lake),
        **(_of_list_out(request, lake, out) if out else {}),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "asks/asks.html", context, status=status)


def _of_list_out(request: SignedInRequest, lake: Lake, out: Ask) -> dict[str, Any]:
    address = _public_address(request, lake) if out.is_public else ""
    return {
        "out": out,
        "lines": lines_of(out),
        "sent_on": sent_on(out),
        "text": text_of(out, address),
        "public_address": address,
    }


def _public_address(request: SignedInRequest, lake: Lake) -> str:
    return site_address(request, reverse("asks:public", args=[lake.slug]))


def _send(request: SignedInRequest, lake: Lake, form: forms.AskForm) -> HttpResponse:
    ask = services.send_ask(
        get_object_or_404(Season, lake=lake, pk=form.written.season_id),
        form.chosen_lines(),
        enough=form.cleaned_data["enough"],
        is_public=form.cleaned_data["is_public"],
        actor=request.user,
        now=timezone.now(),
    )
    who = "1 person" if ask.people_asked == 1 else f"{ask.people_asked} people"
    messages.success(request, f"Sent to {who} who log fish. Phones show it when next online.")
    return redirect("asks:asks", lake.slug)


@require_POST
@lake_permission_required(Permission.EDIT_TARGETS)
def stop(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take the list that is out off phones and the public page."""
    out = ask_in_force(lake, now=timezone.now())
    if out is not None:
        services.stop_ask(out, actor=request.user, now=timezone.now())
        messages.success(request, "Stopped. Phones drop the list when next online.")
    return redirect("asks:asks", lake.slug)


@require_safe
@lake_permission_required(Permission.EDIT_TARGETS)
def poster(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Draw a list as one page for the ramp."""
    ask = get_object_or_404(Ask.objects.select_related("season__lake"), season__lake=lake, pk=pk)
    unit = LengthUnit(lake.length_unit)
    path = reverse("asks:public", args=[lake.slug]) if ask.is_public else reverse("ramp:shell")
    content = pdf.poster_pdf(
        pdf.Poster(
            lake=str(lake),
            sent_on=sent_on(ask),
            lines=tuple(_poster_line(line, unit) for line in lines_of(ask)),
            enough=ask.enough,
            address=site_address(request, path),
            code_says="Latest list" if ask.is_public else "Log a fish",
            unit=unit,
            step=TICKS[unit],
        ),
        request.GET.get("paper", ""),
    )
    response = HttpResponse(content, content_type="application/pdf")
    name = slugify(f"fish needed {lake.slug} {ask.sent_at:%Y-%m-%d}")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _poster_line(line: Line, unit: LengthUnit) -> pdf.PosterLine:
    lowest = min(one.from_hundredths_mm for one in line.fish)
    ends = [one.below_hundredths_mm for one in line.fish]
    highest = None if None in ends else max(end for end in ends if end is not None)
    return pdf.PosterLine(
        line.words,
        line.arms_in_words,
        lowest / HUNDREDTHS[unit] if lowest else None,
        highest / HUNDREDTHS[unit] if highest else None,
    )
