"""Pages for the people of a lake and their links."""

from urllib.parse import urlsplit
from uuid import uuid4

import segno
from django.conf import settings
from django.contrib import messages
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts import forms, links, security_log, services
from samples.accounts.client_address import caller_of
from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, Membership, PersonalLink, Phone, SecurityEvent, User
from samples.rules.lake_time import local_day


def people_of(lake: Lake) -> list[Membership]:
    return list(
        Membership.objects.filter(lake=lake)
        .select_related("person")
        .order_by("person__display_name", "role")
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_PEOPLE)
def people(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the people of a lake, and add somebody."""
    form = forms.NewPerson(request.POST or None)
    if request.method == "POST" and form.is_valid():
        person = services.add_person(lake, **form.cleaned_data)
        messages.success(request, f"{person.display_name} is added.")
        return redirect("accounts:person", lake.slug, person.pk)
    status = 422 if request.method == "POST" else 200
    context = {"lake": lake, "form": form, "memberships": people_of(lake)}
    return render(request, "accounts/people.html", context, status=status)


def person_at(lake: Lake, pk: int) -> User:
    return get_object_or_404(User.objects.filter(memberships__lake=lake).distinct(), pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.EDIT_PEOPLE)
def person(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one person's roles and links; make a new link, which is shown this once."""
    somebody = person_at(lake, pk)
    now = timezone.now()
    today = local_day(now, lake.time_zone)
    fresh: str | None = None
    usual, last = links.days_for_link(lake, today=today)
    initial = {"good_until": usual, "request_id": uuid4()}
    form = forms.NewLinkForm(request.POST or None, today=today, last_day=last, initial=initial)
    if request.method == "POST" and form.is_valid():
        fresh = _fresh_link(request, somebody, form)
    if fresh:
        # From here on another link is asked for.
        form = forms.NewLinkForm(today=today, last_day=last, initial=initial)
    context = {
        "lake": lake,
        "person": somebody,
        "form": form,
        "fresh": fresh,
        "fresh_qr": segno.make(fresh, error="m").svg_inline(scale=6, omitsize=True, border=4)
        if fresh
        else "",
        "may_have_link": links.may_have_link(somebody),
        "links": somebody.personal_links.order_by("-made_at"),
        "phones": somebody.phones.select_related("link").order_by(
            F("revoked_at").desc(nulls_first=True), "-made_at", "-pk"
        ),
        "memberships": somebody.memberships.filter(lake=lake).order_by("role"),
        "today": today,
    }
    status = 422 if request.method == "POST" and not fresh else 200
    return render(request, "accounts/person.html", context, status=status)


def _fresh_link(request: SignedInRequest, person: User, form: forms.NewLinkForm) -> str | None:
    """Make a link and give its address, or say beside the field why there is none."""
    day, by = form.cleaned_data["good_until"], request.user
    token = links.token_of_request(form.cleaned_data["request_id"], person=person, made_by=by)
    try:
        made = links.make_link(person, made_by=by, good_until=day, now=timezone.now(), token=token)
    except links.LinkRefused as problem:
        form.add_problem("good_until", str(problem), code=problem.code)
        return None
    if made.is_new:
        _note(request, SecurityEvent.Kind.LINK_MADE, person)
    return link_address(request, made.token)


def _note(request: SignedInRequest, kind: str, person: User) -> None:
    caller, now = caller_of(request), timezone.now()
    security_log.note(kind, caller=caller, now=now, person=person, done_by=request.user)


def link_address(request: HttpRequest, token: str) -> str:
    """Return a personal link as it is written on a card."""
    return site_address(request, reverse("accounts:this_is_me", args=[token]))


def site_address(request: HttpRequest, path: str) -> str:
    """Return an address of the site as others open it."""
    if urlsplit(settings.PUBLIC_ADDRESS).netloc:
        return f"{settings.PUBLIC_ADDRESS}{path}"
    return request.build_absolute_uri(path)


@require_POST
@lake_permission_required(Permission.EDIT_PEOPLE)
def revoke_link(request: SignedInRequest, lake: Lake, pk: int, link_pk: int) -> HttpResponse:
    """Take one link back: its sessions and its phones end with it."""
    somebody = person_at(lake, pk)
    link = get_object_or_404(PersonalLink, person=somebody, pk=link_pk)
    links.revoke_link(link, now=timezone.now())
    _note(request, SecurityEvent.Kind.LINK_REVOKED, somebody)
    messages.success(
        request, "The link is revoked. Phones that signed in with it can no longer send."
    )
    return redirect("accounts:person", lake.slug, somebody.pk)


@require_POST
@lake_permission_required(Permission.EDIT_PEOPLE)
def revoke_phone(request: SignedInRequest, lake: Lake, pk: int, phone_pk: int) -> HttpResponse:
    """Take one phone back, lost or handed on; the link it came by still holds."""
    somebody = person_at(lake, pk)
    phone = get_object_or_404(Phone, person=somebody, pk=phone_pk)
    links.revoke_phone(phone, now=timezone.now())
    _note(request, SecurityEvent.Kind.PHONE_REVOKED, somebody)
    messages.success(request, "This phone can no longer send. Its fish can be pasted in as text.")
    return redirect("accounts:person", lake.slug, somebody.pk)


@require_POST
@lake_permission_required(Permission.EDIT_PEOPLE)
def remove_role(request: SignedInRequest, lake: Lake, pk: int, membership_pk: int) -> HttpResponse:
    """Take one role away from a person; what they logged and read stays."""
    somebody = person_at(lake, pk)
    membership = get_object_or_404(Membership, person=somebody, lake=lake, pk=membership_pk)
    try:
        services.remove_role(membership)
    except services.LastBiologist as problem:
        messages.error(request, str(problem), extra_tags="last_biologist")
        return redirect("accounts:person", lake.slug, somebody.pk)
    role = membership.get_role_display().lower()
    messages.success(request, f"{somebody} is no longer a {role} here.")
    return redirect("accounts:people", lake.slug)
