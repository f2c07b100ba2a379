"""Who signed in from where, and what was done to passwords, links and phones."""

from django.db import models
from django.db.models import Q

from samples.models.user import PersonalLink, User


class SecurityEvent(models.Model):
    """One line of the security log. It names people by the name that was typed or that they had."""

    class Kind(models.TextChoices):
        SIGNED_IN = "signed_in", "Signed in"
        WRONG_PASSWORD = "wrong_password", "Wrong name or password"
        NAME_LOCKED = "name_locked", "Locked: this name from this address"
        ADDRESS_LOCKED = "address_locked", "Locked: too many names from this address"
        SIGNED_IN_BY_LINK = "signed_in_by_link", "Signed in by personal link"
        SIGNED_OUT_EVERYWHERE = "signed_out_everywhere", "Signed out everywhere"
        SESSION_ENDED = "session_ended", "Session ended"
        PASSWORD_CHANGED = "password_changed", "Password changed"
        PASSWORD_LINK_MADE = "password_link_made", "Password link made"
        PASSWORD_SET = "password_set", "Password set by link"
        LINK_MADE = "link_made", "Personal link made"
        LINK_REVOKED = "link_revoked", "Personal link revoked"
        PHONE_ADDED = "phone_added", "Phone added"
        PHONE_REVOKED = "phone_revoked", "Phone revoked"

    kind = models.CharField(max_length=24, choices=Kind)
    at = models.DateTimeField(db_index=True)
    name = models.CharField(max_length=150, help_text="As typed, or the person's sign-in name.")
    address = models.GenericIPAddressField(null=True, blank=True)
    # The address itself, or for IPv6 the network of 64 bits that one customer has.
    network = models.GenericIPAddressField(null=True, blank=True)
    person = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    done_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="security_event_kind_known",
                condition=Q(
                    kind__in=[
                        "signed_in",
                        "wrong_password",
                        "name_locked",
                        "address_locked",
                        "signed_in_by_link",
                        "signed_out_everywhere",
                        "session_ended",
                        "password_changed",
                        "password_link_made",
                        "password_set",
                        "link_made",
                        "link_revoked",
                        "phone_added",
                        "phone_revoked",
                    ]
                ),
            )
        ]
        indexes = [models.Index(fields=["network", "kind", "at"], name="security_event_by_network")]

    def __str__(self) -> str:
        return f"{self.kind} {self.name} ({self.pk})"


class OpenSession(models.Model):
    """A session that a person can recognize and end. Django's own row keeps what is in it."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="open_sessions")
    session_key = models.CharField(max_length=40, unique=True, editable=False)
    link = models.ForeignKey(
        PersonalLink, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    began_at = models.DateTimeField()
    address = models.GenericIPAddressField(null=True, blank=True)
    browser = models.CharField(max_length=60, blank=True)

    def __str__(self) -> str:
        return f"session {self.pk} of {self.person_id}"
