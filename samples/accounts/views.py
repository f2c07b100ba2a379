"""Pages for signing in, for people and for their links."""

from datetime import date
from urllib.parse import urlsplit

import segno
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts import forms, links, services
from samples.accounts.doors import SignedInRequest, at_lake
from samples.accounts.link_pages import check_csrf_token_alone, without_referrer
from samples.accounts.middleware import LINK_IN_SESSION
from samples.accounts.roles import May
from samples.models import Lake, Membership, PersonalLink, Phone, User
from samples.rules.lake_time import local_day

BACKEND = "django.contrib.auth.backends.ModelBackend"
# A password is typed once a working day; only a personal link lasts the season.
STAFF_SESSION_S = 60 * 60 * 12


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign a member of the staff in by name and password."""
    onward = request.GET.get("next", "")
    if request.method != "POST":
        return render(request, "accounts/sign_in.html", {"form": forms.SignIn(request)})
    form = forms.SignIn(request, data=request.POST)
    if not form.is_valid():
        return render(request, "accounts/sign_in.html", {"form": form}, status=422)
    login(request, form.get_user())
    request.session.set_expiry(STAFF_SESSION_S)
    safe = url_has_allowed_host_and_scheme(
        onward, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(onward if safe else "home")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    logout(request)
    return redirect("accounts:sign_in")


@check_csrf_token_alone
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@without_referrer
def this_is_me(request: HttpRequest, token: str) -> HttpResponse:
    """Show whose link this is; sign that person in when they say it is them."""
    now = timezone.now()
    day = links.day_of_links(now)
    try:
        link = links.open_link(token, today=day)
    except links.LinkRefused as problem:
        return render(request, "accounts/link_refused.html", {"problem": problem}, status=410)
    if request.method != "POST":
        return render(request, "accounts/this_is_me.html", {"link": link})
    links.use_link(token, now=now, today=day)
    login(request, link.person, backend=BACKEND)
    request.session[LINK_IN_SESSION] = link.pk
    request.session.set_expiry(max(_seconds_left(link.good_until, day), 1))
    return redirect("ramp:shell" if request.POST.get("onward") == "app" else "home")


def _seconds_left(good_until: date, today: date) -> int:
    return ((good_until - today).days + 1) * 24 * 60 * 60


def people_of(lake: Lake) -> list[Membership]:
    return list(
        Membership.objects.filter(lake=lake)
        .select_related("person")
        .order_by("person__display_name", "role")
    )


@require_http_methods(["GET", "HEAD", "POST"])
@at_lake(May.EDIT_PEOPLE)
def people(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the people of a lake, and add somebody."""
    form = forms.NewPerson(request.POST or None)
    if request.method == "POST" and form.is_valid():
        person = services.add_person(lake, **form.cleaned_data)
        messages.success(request, f"{person.display_name} is set up.")
        return redirect("accounts:person", lake.slug, person.pk)
    status = 422 if request.method == "POST" else 200
    context = {"lake": lake, "form": form, "memberships": people_of(lake)}
    return render(request, "accounts/people.html", context, status=status)


def person_at(lake: Lake, pk: int) -> User:
    return get_object_or_404(User.objects.filter(memberships__lake=lake).distinct(), pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@at_lake(May.EDIT_PEOPLE)
def person(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one person's roles and links; make a new link, which is shown this once."""
    somebody = person_at(lake, pk)
    now = timezone.now()
    today = local_day(now, lake.time_zone)
    fresh: str | None = None
    first_day = {"good_until": date(today.year, 12, 31)}
    form = forms.NewLink(request.POST or None, today=today, initial=first_day)
    if request.method == "POST" and form.is_valid():
        fresh = _fresh_link(request, somebody, form)
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


def _fresh_link(request: SignedInRequest, person: User, form: forms.NewLink) -> str | None:
    """Make a link and give its address, or say beside the field why there is none."""
    day = form.cleaned_data["good_until"]
    try:
        made = links.make_link(person, made_by=request.user, good_until=day, now=timezone.now())
    except links.LinkRefused as problem:
        form.add_error("good_until", str(problem))
        return None
    return link_address(request, made.token)


def link_address(request: HttpRequest, token: str) -> str:
    """Give a personal link as it is written on a card."""
    path = reverse("accounts:this_is_me", args=[token])
    if urlsplit(settings.PUBLIC_ADDRESS).netloc:
        return f"{settings.PUBLIC_ADDRESS}{path}"
    return request.build_absolute_uri(path)


@require_POST
@at_lake(May.EDIT_PEOPLE)
def take_back_link(request: SignedInRequest, lake: Lake, pk: int, link_pk: int) -> HttpResponse:
    """Take one link back: its sessions and its phones end with it."""
    somebody = person_at(lake, pk)
    link = get_object_or_404(PersonalLink, person=somebody, pk=link_pk)
    links.revoke_link(link, now=timezone.now())
    messages.success(request, "The link is taken back. Phones that came by it may no longer send.")
    return redirect("accounts:person", lake.slug, somebody.pk)


@require_POST
@at_lake(May.EDIT_PEOPLE)
def take_back_phone(request: SignedInRequest, lake: Lake, pk: int, phone_pk: int) -> HttpResponse:
    """Take one phone back, lost or handed on; the link it came by still holds."""
    somebody = person_at(lake, pk)
    phone = get_object_or_404(Phone, person=somebody, pk=phone_pk)
    links.revoke_phone(phone, now=timezone.now())
    messages.success(request, "The phone may no longer send. What is on it can come as text.")
    return redirect("accounts:person", lake.slug, somebody.pk)


@require_POST
@at_lake(May.EDIT_PEOPLE)
def take_role_away(
    request: SignedInRequest, lake: Lake, pk: int, membership_pk: int
) -> HttpResponse:
    """Take one role away from a person; what they logged and read stays."""
    somebody = person_at(lake, pk)
    membership = get_object_or_404(Membership, person=somebody, lake=lake, pk=membership_pk)
    try:
        services.take_role(membership)
    except services.LastBiologist as problem:
        messages.error(request, str(problem))
        return redirect("accounts:person", lake.slug, somebody.pk)
    role = membership.get_role_display().lower()
    messages.success(request, f"{somebody} is no longer a {role} here.")
    return redirect("accounts:people", lake.slug)
