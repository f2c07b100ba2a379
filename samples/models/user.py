"""People, what they may do at which lake, and how a guide's phone knows them."""

from typing import TypeAlias

from django.contrib.auth.models import AbstractUser
from django.db import models

from samples.models.choices import only_choices


class User(AbstractUser):
    """A person who signs in, by password or by a personal link."""

    display_name = models.CharField(
        max_length=80, help_text="As it should read on the screen, for example R. Ostrow."
    )

    def __str__(self) -> str:
        return self.display_name or self.username


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
