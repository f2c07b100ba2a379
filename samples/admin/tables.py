"""Waters, vials, fish and ages."""

from typing import Any

from django.contrib import admin, messages
from django.utils import timezone

from samples import models
from samples.admin.pages import KeptPages, ListPages, Pages, PlainPages, ShownPages
from samples.lab.services import work_out_age
from samples.vials.services import CannotSetWidth, set_number_width


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
    list_display = ["season", "species", "arm", "from_hundredths_mm", "wanted", "from_nets"]
    list_filter = ["season__lake", "species"]


@admin.register(models.Ask)
class AskPages(ShownPages):
    """What was sent stays as it was sent; it is stopped on its own page."""

    list_display = ["season", "sent_at", "sent_by", "is_public", "stopped_at"]
    list_filter = ["season__lake"]


@admin.register(models.AskedFish)
class AskedFishPages(ShownPages):
    list_display = ["words", "ask", "species", "arm", "wanted"]
    list_filter = ["ask__season__lake", "species"]


@admin.register(models.SavedView)
class SavedViewPages(Pages):
    list_display = ["name", "lake", "person", "path"]
    list_filter = ["lake"]
    search_fields = ["name"]


@admin.register(models.Printer)
class PrinterPages(ListPages):
    list_display = ["lake", "stock", "right_tenths_mm", "down_tenths_mm"]


@admin.register(models.Vial)
class VialPages(KeptPages):
    list_display = ["number", "lake", "season", "state", "issued_to"]
    list_filter = ["state", "lake", "season"]
    search_fields = ["number"]
    # Box and slot are one: the page of the box changes them together.
    readonly_fields = [
        *("number", "run", "sequence", "lake", "season"),
        *("box", "archive_box", "archive_slot", "archived_at", "archived_by"),
        *("taken_out_at", "taken_out_by"),
    ]


@admin.register(models.ClearingMedium)
class ClearingMediumPages(Pages):
    list_display = ["lake", "preparation", "species", "glycerin_parts", "ethanol_parts"]
    list_filter = ["lake"]


@admin.register(models.ClearingTray)
class ClearingTrayPages(ShownPages):
    """Trays are filled, made ready and dried by scanning."""

    list_display = ["name", "lake", "started_on", "ready_on", "rinse_by", "dried_on"]
    list_filter = ["lake"]
    search_fields = ["name"]


@admin.register(models.TrayPlace)
class TrayPlacePages(ShownPages):
    list_display = ["tray", "place", "vial", "scanned_by", "scanned_at"]
    search_fields = ["vial__number", "tray__name"]


@admin.register(models.ArchiveBox)
class ArchiveBoxPages(ShownPages):
    list_display = ["name", "lake", "rows", "columns", "place"]
    list_filter = ["lake"]
    search_fields = ["name"]


@admin.register(models.ReadingSession)
class ReadingSessionPages(ShownPages):
    """Sessions are opened and ended by their readers."""

    list_display = ["opened_at", "lake", "reader", "purpose", "method", "closed_at"]
    list_filter = ["lake", "purpose"]


@admin.register(models.SessionOtolith)
class SessionOtolithPages(ShownPages):
    list_display = ["session", "place", "vial", "stream", "outcome", "needs_section"]
    list_filter = ["stream", "outcome"]
    search_fields = ["vial__number"]


@admin.register(models.SecondReadingPlan)
class SecondReadingPlanPages(ShownPages):
    list_display = ["lake", "percent", "seed"]


@admin.register(models.SecondReadingDraw)
class SecondReadingDrawPages(ShownPages):
    list_display = ["vial", "season", "species", "arm", "from_hundredths_mm", "place", "is_drawn"]
    list_filter = ["is_drawn", "season"]
    search_fields = ["vial__number"]


@admin.register(models.SecondReadingRequest)
class SecondReadingRequestPages(ShownPages):
    list_display = ["vial", "asked_by", "asked_at", "note", "closed_at"]
    search_fields = ["vial__number"]


@admin.register(models.ReferenceOtolith)
class ReferenceOtolithPages(ShownPages):
    list_display = ["vial", "age_years", "kind", "source", "retired_at"]
    list_filter = ["kind"]
    search_fields = ["vial__number"]


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


@admin.register(models.Photo)
class PhotoPages(ShownPages):
    list_display = ["fish", "sent_by", "received_at", "width_px", "height_px"]
    exclude = ["file"]


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


@admin.register(models.LengthSeen)
class LengthSeenPages(ShownPages):
    list_display = ["vial", "person", "seen_at"]
    search_fields = ["vial__number"]


@admin.register(models.Radius)
class RadiusPages(ShownPages):
    list_display = ["reading", "annulus", "radius_um"]
    search_fields = ["reading__vial__number"]


@admin.register(models.MarkedRadius)
class MarkedRadiusPages(ShownPages):
    """Marks are changed on the picture, where the count follows at once."""

    list_display = ["reading", "picture", "position", "annuli_px", "with_suggestion"]
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


@admin.register(models.LabelPrint)
class LabelPrintPages(ShownPages):
    list_display = ["lake", "year", "ranges", "count", "stock", "made_by", "made_at"]
    list_filter = ["lake"]


@admin.register(models.LakeStock)
class LakeStockPages(ShownPages):
    list_display = ["lake", "note", "label_width", "label_height", "is_retired", "changed_by"]
    list_filter = ["lake"]


@admin.register(models.PartSheet)
class PartSheetPages(ShownPages):
    list_display = ["lake", "stock", "used", "left_at"]
    list_filter = ["lake"]


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


@admin.register(models.Computation)
class ComputationPages(ShownPages):
    """What was worked out beside the pages, and what became of it."""

    list_display = ["pk", "kind", "state", "attempts", "queued_at", "finished_at", "problem"]
    list_filter = ["state", "kind"]
    ordering = ["-queued_at"]


@admin.register(models.AgeDecision)
class AgeDecisionPages(ShownPages):
    list_display = ["fish", "number", "outcome", "age_years", "decided_by", "decided_at"]
    list_filter = ["outcome", "fish__lake"]


@admin.register(models.Preparation)
class PreparationPages(ShownPages):
    list_display = ["vial", "number", "kind", "side", "slide", "slide_box", "box_place"]
    list_filter = ["lake", "kind"]
    search_fields = ["vial__number", "slide"]


@admin.register(models.PreparationStep)
class PreparationStepPages(ShownPages):
    list_display = ["preparation", "kind", "done_on", "done_by"]
    list_filter = ["kind", "preparation__lake"]


@admin.register(models.SectionRequest)
class SectionRequestPages(ShownPages):
    list_display = ["vial", "asked_by", "asked_at", "preparation", "dropped_at"]
    list_filter = ["vial__lake"]
    search_fields = ["vial__number"]
