"""People, what they may do at which lake, and how a guide's phone knows them."""

from datetime import date, timedelta
from typing import TypeAlias

from django.contrib.auth.models import AbstractUser
from django.db import models

from samples.models.choices import only_choices

# A season takes a year at most; a fish of its last day is logged and sent within 60 more.
AFTER_THE_SEASON = timedelta(days=60)
LONGEST_SEASON = timedelta(days=366)


class User(AbstractUser):
    """A person who signs in, by password or by a personal link."""

    display_name = models.CharField(
        max_length=80, help_text="As it should read on the screen, for example R. Ostrow."
    )
    times_signed_out_everywhere = models.PositiveIntegerField(
        default=0, db_default=0, editable=False
    )

    def __str__(self) -> str:
        return self.display_name or self.username

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """Return what a session must match: it changes with the password, and on signing out.

        Without a sign-out it is Django's own, so that sessions from before stay good.
        """
        usual: str = super()._get_session_auth_hash(secret=secret)  # type: ignore[misc]
        count = self.times_signed_out_everywhere
        return f"{usual}-{count}" if count else usual


class MembershipRole(models.TextChoices):
    GUIDE = "guide", "Guide"
    CLERK = "clerk", "Creel clerk"
    OFFICE = "office", "Office"
    READER = "reader", "Reader"
    BIOLOGIST = "biologist", "Biologist"


class Membership(models.Model):
    """One person's role at one lake."""

    Role: TypeAlias = MembershipRole

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    lake = models.ForeignKey("Lake", on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "lake", "role"], name="membership_once_per_lake_and_role"
            ),
            only_choices("role", MembershipRole, name="membership_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} at {self.lake_id}: {self.role}"


class PersonalLink(models.Model):
    """A link that signs a guide in. Only a digest is kept: the link itself is shown once."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="personal_links")
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    good_until = models.DateField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["person"], name="personal_link_person")]

    def __str__(self) -> str:
        return f"link {self.pk} of {self.person_id}"

    @property
    def last_day(self) -> date:
        """Return the last day it signs in: links from before there was a limit end by it too."""
        return min(self.good_until, self.made_at.date() + LONGEST_SEASON + AFTER_THE_SEASON)


class Phone(models.Model):
    """One phone's token. It signs what the phone sends; it can be taken back by itself."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="phones")
    link = models.ForeignKey(
        PersonalLink, null=True, blank=True, on_delete=models.CASCADE, related_name="phones"
    )
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    name = models.CharField(max_length=80, blank=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_heard_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"phone {self.pk} of {self.person_id}"
