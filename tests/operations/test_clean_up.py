"""What goes every night, and what stays."""

import io
from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.utils import timezone

pytestmark = pytest.mark.django_db


def test_ended_sessions_and_old_lock_outs_go_and_others_stay():
    now = timezone.now()
    for key, days in (("ended", -1), ("running", 1)):
        Session.objects.create(session_key=key, session_data="", expire_date=now + timedelta(days))
    for name, days in (("old", -2), ("fresh", 0)):
        attempt = AccessAttempt.objects.create(username=name, failures_since_start=8)
        AccessAttempt.objects.filter(pk=attempt.pk).update(attempt_time=now + timedelta(days))
    said = io.StringIO()

    call_command("clean_up", stdout=said)

    assert [one.session_key for one in Session.objects.all()] == ["running"]
    assert [one.username for one in AccessAttempt.objects.all()] == ["fresh"]
    assert "1 old lockouts" in said.getvalue()
