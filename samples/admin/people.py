"""People, and how they sign in: their links, phones, sessions and the security log."""

from typing import Any

from axes.models import AccessAttempt
from django.contrib import admin
from django.contrib.admin.utils import unquote
from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import HttpResponse  # noqa: TID251 - a door
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.cache import add_never_cache_headers

from samples import models
from samples.accounts.client_address import caller_of
from samples.accounts.security_log import note
from samples.accounts.views.account import password_link
from samples.admin.pages import ListPages, PeoplePages, PlainPages, ShownPages

admin.site.unregister(Group)  # roles are memberships; nobody is in a group


@admin.register(models.User)
class PersonPages(PeoplePages):
    """People. Their roles at a lake are set on the lake's own pages, or as memberships."""

    list_display = ["username", "display_name", "is_active", "is_staff", "last_login"]
    list_filter = ["is_active", "is_staff", "memberships__lake"]
    search_fields = ["username", "display_name", "email"]
    filter_horizontal = []
    fieldsets = [
        (None, {"fields": ["username", "password", "display_name", "email"]}),
        ("What they may do", {"fields": ["is_active", "is_staff", "is_superuser"]}),
        ("Dates", {"fields": ["last_login", "date_joined"]}),
    ]

    def user_change_password(self, request: Any, id: str, form_url: str = "") -> HttpResponse:  # noqa: A002
        """Make a one-time link in place of a password that two people would know."""
        person = self.get_object(request, unquote(id))
        if person is None or not self.has_change_permission(request, person):
            raise PermissionDenied("These pages are for the administrator.")
        address = ""
        if request.method == "POST":
            address = password_link(request, person)
            caller, now = caller_of(request), timezone.now()  # noqa: TID251 - a door
            kind = models.SecurityEvent.Kind.PASSWORD_LINK_MADE
            note(kind, caller=caller, now=now, person=person, done_by=request.user)
        context = {**self.admin_site.each_context(request), "person": person, "address": address}
        response = TemplateResponse(request, "admin/password_link.html", context)
        add_never_cache_headers(response)
        return response

    def save_model(self, request: Any, obj: models.User, form: Any, change: bool) -> None:
        """Save a person; pages of findings name readers of every lake."""
        super().save_model(request, obj, form, change)
        if not {"username", "display_name"}.isdisjoint(form.changed_data):
            models.note_lakes(models.SHARED)

    add_fieldsets = [
        (
            None,
            {"fields": ["username", "display_name", "usable_password", "password1", "password2"]},
        )
    ]


@admin.register(models.Membership)
class MembershipPages(ListPages):
    list_display = ["person", "lake", "role"]
    list_filter = ["lake", "role"]
    search_fields = ["person__display_name", "person__username"]


@admin.register(models.Donor)
class DonorPages(ListPages):
    """The one place a donor's name stands: emptied here, it is gone and the fish stay."""

    list_display = ["pk", "name", "lake", "person"]
    list_filter = ["lake"]
    search_fields = ["name", "person__display_name"]


@admin.register(models.DonorMessage)
class DonorMessagePages(ShownPages):
    list_display = ["posted_at", "lake", "posted_by", "edited_at", "withdrawn_at"]
    list_filter = ["lake"]


@admin.register(models.DonorAddress)
class DonorAddressPages(ShownPages):
    """Addresses are noted, stopped and deleted on the pages of donors."""

    list_display = ["donor", "noted_at", "stopped_at"]
    list_filter = ["donor__lake"]


@admin.register(models.DonorMail)
class DonorMailPages(ShownPages):
    list_display = ["message", "address", "state", "queued_at", "tried_at"]
    list_filter = ["state", "message__lake"]


@admin.register(models.PersonalLink)
class PersonalLinkPages(ShownPages):
    """Links are made and taken back on the page of the person."""

    list_display = ["person", "made_at", "good_until", "revoked_at", "last_used_at"]
    search_fields = ["person__display_name"]
    exclude = ["token_sha256"]


@admin.register(models.Phone)
class PhonePages(ShownPages):
    list_display = ["person", "name", "made_at", "revoked_at", "last_heard_at"]
    search_fields = ["person__display_name", "name"]
    exclude = ["token_sha256"]


@admin.register(models.SecurityEvent)
class SecurityEventPages(ShownPages):
    """The security log: who signed in or tried to, and from where."""

    list_display = ["at", "kind", "name", "address", "person", "done_by"]
    list_filter = ["kind", "at"]
    search_fields = ["name", "address"]
    ordering = ["-at"]


@admin.register(models.OpenSession)
class OpenSessionPages(ShownPages):
    list_display = ["person", "began_at", "browser", "address"]
    search_fields = ["person__display_name", "person__username"]
    exclude = ["session_key"]


@admin.register(AccessAttempt)
class LockedSignInPages(PlainPages):
    """Names with wrong passwords: taking one out of the list lifts its lock."""

    list_display = ["username", "ip_address", "failures_since_start", "attempt_time"]
    search_fields = ["username"]
    fields = ["username", "ip_address", "failures_since_start", "attempt_time"]

    def changelist_view(self, request: Any, extra_context: Any = None) -> Any:
        words = {"title": "Wrong passwords. Delete a row to lift its lock."}
        return super().changelist_view(request, {**words, **(extra_context or {})})

    def has_add_permission(self, request: Any) -> bool:
        return False

    def has_change_permission(self, request: Any, obj: Model | None = None) -> bool:
        return False
