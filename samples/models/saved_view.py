"""Choices on the pages of coverage and findings, kept under a name."""

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from samples.models.lake import Lake
from samples.models.user import User


class SavedView(models.Model):
    """An address of one of our pages under a name: one person's, or the lake's if nobody's."""

    lake = models.ForeignKey(Lake, on_delete=models.CASCADE, related_name="saved_views")
    person = models.ForeignKey(
        User,
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="saved_views",
        help_text="Empty for a view that everybody at the lake sees who may open its page.",
    )
    name = models.CharField(max_length=60)
    path = models.CharField(max_length=200)
    query = models.CharField(max_length=2000, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            # Two of them, since SQLite takes every empty person for another one.
            models.UniqueConstraint(
                F("lake"),
                F("person"),
                Lower("name"),
                condition=Q(person__isnull=False),
                name="saved_view_own_name_once",
            ),
            models.UniqueConstraint(
                F("lake"),
                Lower("name"),
                condition=Q(person__isnull=True),
                name="saved_view_shared_name_once",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_shared(self) -> bool:
        return self.person_id is None

    @property
    def address(self) -> str:
        return f"{self.path}?{self.query}" if self.query else self.path
