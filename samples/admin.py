"""Every table, for the administrator's repairs. What the field said is shown and not changed."""

from typing import TYPE_CHECKING, Any

from axes.models import AccessAttempt
from django.contrib import admin, messages
from django.contrib.admin.utils import unquote
from django.contrib.admin.widgets import ForeignKeyRawIdWidget
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import HttpResponse  # noqa: TID251 - a door
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.cache import add_never_cache_headers
from simple_history.admin import SimpleHistoryAdmin

from samples import models
from samples.accounts.client_address import caller_of
from samples.accounts.security_log import note
from samples.accounts.views.account import password_link
from samples.lab.services import work_out_age
from samples.vials.services import CannotSetWidth, set_number_width

admin.site.unregister(Group)  # roles are memberships; nobody is in a group

if TYPE_CHECKING:
    HistoryPages = admin.ModelAdmin[Any]
    PlainPages = admin.ModelAdmin[Any]
    PeoplePages = UserAdmin[models.User]
else:
    HistoryPages = SimpleHistoryAdmin
    PlainPages = admin.ModelAdmin
    PeoplePages = UserAdmin

# Rows of large tables are named by their id: a list of them would not end.
WIDE = {
    *("party", "vial", "fish", "donor", "person", "logged_by", "opened_by", "issued_to"),
    *("received_by", "decided_by", "settled_by", "said_by", "reader", "phone", "link", "run"),
}


class Pages(HistoryPages):
    """One table: a list that asks the database once, and rows of large tables by their id."""

    show_full_result_count = False

    def get_list_select_related(self, request: Any) -> list[str]:
        relations = {field.name for field in self.model._meta.fields if field.is_relation}
        return [str(name) for name in self.list_display if name in relations]

    def formfield_for_foreignkey(self, db_field: Any, request: Any, **kwargs: Any) -> Any:
        if db_field.name in WIDE:
            kwargs["widget"] = ForeignKeyRawIdWidget(db_field.remote_field, self.admin_site)
        return super().formfield_for_foreignkey(db_field, request, **kwargs)


class KeptPages(Pages):
    """Facts of the ramp and the laboratory: put right here, never made or taken out."""

    def has_add_permission(self, request: Any) -> bool:
        return False

    def has_delete_permission(self, request: Any, obj: Model | None = None) -> bool:
        return False


class ShownPages(KeptPages):
    """What was said, sent or handed out, word for word: it is shown and nothing else."""

    def has_change_permission(self, request: Any, obj: Model | None = None) -> bool:
        return False


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

    add_fieldsets = [
        (
            None,
            {"fields": ["username", "display_name", "usable_password", "password1", "password2"]},
        )
    ]


@admin.register(models.Lake)
class LakePages(Pages):
    list_display = ["name", "length_unit", "time_zone"]
    search_fields = ["name"]


@admin.register(models.Arm)
class ArmPages(Pages):
    list_display = ["name", "lake", "position", "whole_lake"]
    list_filter = ["lake"]
    search_fields = ["name"]


@admin.register(models.Reach)
class ReachPages(Pages):
    list_display = ["name", "arm", "position"]
    list_filter = ["arm__lake"]
    search_fields = ["name"]


@admin.register(models.Season)
class SeasonPages(Pages):
    list_display = ["name", "lake", "number_year", "starts_on", "ends_on", "permit_number"]
    list_filter = ["lake"]
    search_fields = ["name", "permit_number"]


@admin.register(models.Regulation)
class RegulationPages(Pages):
    list_display = ["in_force_from", "lake", "species", "words"]
    list_filter = ["lake"]
    search_fields = ["words"]


@admin.register(models.SpeciesGroup)
class SpeciesGroupPages(PlainPages):
    list_display = ["name", "helper_heading"]


@admin.register(models.Species)
class SpeciesPages(Pages):
    list_display = ["name", "code", "kind", "group"]
    list_filter = ["kind", "group"]
    search_fields = ["name", "code", "scientific_name"]


@admin.register(models.LakeSpecies)
class LakeSpeciesPages(Pages):
    list_display = ["species", "lake", "position", "bin_width_hundredths_mm"]
    list_filter = ["lake", "species"]


@admin.register(models.Target)
class TargetPages(Pages):
    list_display = ["season", "species", "arm", "from_hundredths_mm", "wanted"]
    list_filter = ["season__lake", "species"]


@admin.register(models.Membership)
class MembershipPages(PlainPages):
    list_display = ["person", "lake", "role"]
    list_filter = ["lake", "role"]
    list_select_related = ["person", "lake"]
    search_fields = ["person__display_name", "person__username"]
    raw_id_fields = ["person"]


@admin.register(models.Donor)
class DonorPages(PlainPages):
    """The one place a donor's name stands: emptied here, it is gone and the fish stay."""

    list_display = ["pk", "name", "lake", "person"]
    list_filter = ["lake"]
    list_select_related = ["lake", "person"]
    search_fields = ["name", "person__display_name"]
    raw_id_fields = ["person"]


@admin.register(models.Printer)
class PrinterPages(PlainPages):
    list_display = ["lake", "stock", "right_tenths_mm", "down_tenths_mm"]
    list_select_related = ["lake"]


@admin.register(models.Vial)
class VialPages(KeptPages):
    list_display = ["number", "lake", "season", "state", "issued_to"]
    list_filter = ["state", "lake", "season"]
    search_fields = ["number"]
    readonly_fields = ["number", "run", "sequence", "lake", "season"]


@admin.register(models.Party)
class PartyPages(KeptPages):
    list_display = ["party_id", "lake", "arm", "caught_on", "method", "opened_by"]
    list_filter = ["lake", "method"]
    search_fields = ["party_id", "fish__vial__number"]
    # Its fish repeat these: they are changed together on the ramp's page.
    readonly_fields = [
        *("party_id", "fingerprint", "lake", "season", "arm", "reach", "leg"),
        *("method", "donor", "opened_at", "received_at"),
    ]

    def save_model(self, request: Any, obj: models.Party, form: Any, change: bool) -> None:
        """Carry a repaired date to the fish, whose ages follow from it."""
        super().save_model(request, obj, form, change)
        for fish in models.Fish.objects.filter(party=obj).select_related("species"):
            fish.caught_on = obj.caught_on
            fish.save()
            work_out_age(fish, now=timezone.now())  # noqa: TID251 - a door


@admin.register(models.UnmeasuredCount)
class UnmeasuredCountPages(KeptPages):
    list_display = ["party", "species", "count", "withdrawn"]
    readonly_fields = ["entry_id", "party", "logged_at", "received_at"]


@admin.register(models.Fish)
class FishPages(KeptPages):
    """Fish. The age, and how far the sample has come, follow after every repair.

    What belongs together with other rows (vial, party, the length as measured) is put right
    on the pages that know how.
    """

    list_display = ["entry_id", "vial", "species", "length_as_measured", "arm", "caught_on"]
    list_filter = ["lake", "season", "species", "progress", "withdrawn"]
    search_fields = ["vial__number", "vial_number_said", "entry_id"]
    readonly_fields = [
        *("entry_id", "fingerprint", "party", "lake", "season", "progress"),
        *("length_hundredths_mm", "length_as_measured", "length_unit_as_measured"),
        *("vial", "vial_number_said", "withdrawn", "arm", "reach", "leg", "donor", "method"),
        "caught_on",
        *("logged_at", "received_at"),
    ]

    def save_model(self, request: Any, obj: models.Fish, form: Any, change: bool) -> None:
        super().save_model(request, obj, form, change)
        work_out_age(obj, now=timezone.now())  # noqa: TID251 - a door


@admin.register(models.Reading)
class ReadingPages(ShownPages):
    """Readings are put right in the grid, where the age follows at once."""

    list_display = ["vial", "reader", "sitting_on", "annuli", "margin"]
    list_filter = ["vial__lake", "vial__season"]
    search_fields = ["vial__number"]


@admin.register(models.Radius)
class RadiusPages(ShownPages):
    list_display = ["reading", "annulus", "radius_um"]
    search_fields = ["reading__vial__number"]


@admin.register(models.Age)
class AgePages(ShownPages):
    list_display = ["fish", "standing", "age_years", "year_class", "rule"]
    list_filter = ["standing", "fish__lake"]
    search_fields = ["fish__vial__number"]


@admin.register(models.AgeAsGiven)
class AgeAsGivenPages(KeptPages):
    list_display = ["fish", "age_years", "structure", "source"]
    search_fields = ["fish__entry_id", "source"]


@admin.register(models.Entry)
class EntryPages(ShownPages):
    list_display = ["entry_id", "kind", "said_by", "received_at"]
    list_filter = ["kind"]
    search_fields = ["entry_id", "fish__vial__number"]


@admin.register(models.HeldEntry)
class HeldEntryPages(ShownPages):
    list_display = ["entry_id", "kind", "lake", "reason", "state", "said_by"]
    list_filter = ["state", "lake", "reason"]
    search_fields = ["entry_id", "vial__number"]


@admin.register(models.LabelRun)
class LabelRunPages(ShownPages):
    list_display = ["season", "first_sequence", "count", "stock", "made_by", "made_at"]
    list_filter = ["season"]


@admin.register(models.NumberYear)
class NumberYearPages(ShownPages):
    """The numbers of a year. Their width is set before the first of them is printed."""

    list_display = ["year", "digits", "last_sequence"]

    def has_add_permission(self, request: Any) -> bool:
        return True

    def has_change_permission(self, request: Any, obj: models.NumberYear | None = None) -> bool:  # type: ignore[override]
        return obj is None or obj.last_sequence == 0

    def get_readonly_fields(self, request: Any, obj: models.NumberYear | None = None) -> list[str]:
        return ["year", "last_sequence"] if obj else ["last_sequence"]

    def save_model(self, request: Any, obj: models.NumberYear, form: Any, change: bool) -> None:
        try:
            set_number_width(year=obj.year, digits=obj.digits)
        except CannotSetWidth as problem:
            self.message_user(request, str(problem), messages.ERROR)
        obj.pk = models.NumberYear.objects.get(year=obj.year).pk


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


@admin.register(models.LakeGroup)
class LakeGroupPages(Pages):
    list_display = ["lake", "group", "helper_heading"]
    list_filter = ["lake"]


@admin.register(models.TagReturns)
class TagReturnsPages(Pages):
    list_display = ["lake", "season", "species", "arm", "tags_out", "returned", "source"]
    list_filter = ["lake"]
    search_fields = ["source"]


@admin.register(models.NaturalDeath, models.ReleaseDeath)
class DeathPages(Pages):
    list_display = ["lake", "species", "least", "middle", "most", "source"]
    list_filter = ["lake"]
    search_fields = ["source"]


@admin.register(models.CreelFigures)
class CreelFiguresPages(Pages):
    list_display = ["lake", "season", "species", "arm", "source"]
    list_filter = ["lake"]
    search_fields = ["source"]


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
