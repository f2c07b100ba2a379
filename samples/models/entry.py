"""What phones said: entries that are not fish, and entries that wait for the office."""

from typing import Any, TypeAlias

from django.db import models
from django.db.models import Q

from samples.models.choices import only_choices
from samples.models.fish import Fish
from samples.models.lake import Lake
from samples.models.party import Party
from samples.models.user import Phone, User
from samples.models.vial import Vial
from samples.rules.plain_text import keepable_text


class EntryKind(models.TextChoices):
    PARTY_OPENED = "party_opened", "Trip started"
    PARTY_CHANGED = "party_changed", "Trip changed"
    PARTY_CLOSED = "party_closed", "Trip ended"
    FISH = "fish", "Fish"
    CORRECTION = "correction", "Correction"
    WITHDRAWAL = "withdrawal", "Fish deleted"
    SHIFT = "shift", "Vials off by one"
    UNMEASURED_COUNT = "unmeasured_count", "Fish counted, not measured"


class Entry(models.Model):
    """One entry that changed something and is not itself a fish, kept word for word."""

    entry_id = models.UUIDField(unique=True, editable=False)
    kind = models.CharField(max_length=16, choices=EntryKind)
    fingerprint = models.CharField(max_length=64, editable=False)
    said = models.JSONField()
    party = models.ForeignKey(
        Party, null=True, blank=True, on_delete=models.PROTECT, related_name="entries"
    )
    fish = models.ForeignKey(
        Fish, null=True, blank=True, on_delete=models.PROTECT, related_name="entries"
    )
    said_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    phone = models.ForeignKey(
        Phone, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    said_at = models.DateTimeField(help_text="By the phone's clock.")
    received_at = models.DateTimeField(help_text="By the server's clock.")

    class Meta:
        verbose_name_plural = "entries"
        constraints = [only_choices("kind", EntryKind, name="entry_kind_known")]

    def __str__(self) -> str:
        return f"{self.kind} {self.entry_id}"


class HeldState(models.TextChoices):
    OPEN = "open", "To resolve"
    SETTLED = "settled", "Resolved"


class SettledHow(models.TextChoices):
    NOT_YET = "", "Not yet"
    KEEPS_VIAL = "keeps_vial", "Vial given to this fish"
    OTHER_NUMBER = "other_number", "Logged under another number"
    BOTH_WAIT = "both_wait", "Both fish saved without a vial"
    TAKEN_IN = "taken_in", "Applied as written"
    SET_ASIDE = "set_aside", "Voided with a note"
    TRIP_GIVEN = "trip_given", "Saved with a trip entered here"
    NEW_WORDS = "new_words", "Fish changed to the new entry"
    VIAL_BACK = "vial_back", "Vial returned to use"


class HeldEntry(models.Model):
    """An entry that could not be logged as it stands. Nothing of it is lost."""

    State: TypeAlias = HeldState

    Settled: TypeAlias = SettledHow

    entry_id = models.UUIDField(editable=False)
    kind = models.CharField(max_length=16)
    fingerprint = models.CharField(max_length=64, editable=False)
    said = models.JSONField()
    reason = models.CharField(max_length=40)
    lake = models.ForeignKey(
        Lake, null=True, blank=True, on_delete=models.PROTECT, related_name="held_entries"
    )
    party = models.ForeignKey(
        Party, null=True, blank=True, on_delete=models.PROTECT, related_name="held_entries"
    )
    vial = models.ForeignKey(
        Vial, null=True, blank=True, on_delete=models.PROTECT, related_name="held_entries"
    )
    said_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="held_entries")
    phone = models.ForeignKey(
        Phone, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    said_at = models.DateTimeField(help_text="By the phone's clock.")
    received_at = models.DateTimeField(help_text="By the server's clock.")
    state = models.CharField(max_length=8, choices=State, default=State.OPEN)
    settled_how = models.CharField(max_length=12, choices=Settled, default="", blank=True)
    settled_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    fish = models.ForeignKey(
        Fish, null=True, blank=True, on_delete=models.PROTECT, related_name="held_entries"
    )

    class Meta:
        verbose_name_plural = "held entries"
        constraints = [
            # The same id with other words is another held entry: both texts are kept.
            models.UniqueConstraint(
                fields=["entry_id", "fingerprint"], name="held_entry_once_per_content"
            ),
            only_choices("state", HeldState, name="held_entry_state_known"),
            only_choices("settled_how", SettledHow, name="held_entry_settled_how_known"),
            models.CheckConstraint(
                name="held_entry_settled_at_and_by_together",
                condition=Q(settled_at__isnull=True, settled_by__isnull=True, state="open")
                | Q(settled_at__isnull=False, settled_by__isnull=False, state="settled"),
            ),
        ]
        indexes = [models.Index(fields=["lake", "state"], name="held_entry_to_settle")]

    def __str__(self) -> str:
        return f"held {self.kind} {self.entry_id} ({self.pk})"

    @property
    def payload(self) -> dict[str, Any]:
        """Return what was said, fit for a page: older entries were kept with half signs in them."""
        words: dict[str, Any] = keepable_text(self.said)
        return words
