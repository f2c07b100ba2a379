"""The biologist's messages to all donors of a lake: posted, edited, mailed, withdrawn."""

from django.contrib.messages import error, success
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.views.people import site_address
from samples.donors import computed, forms, queries, services
from samples.models import DonorMessage, Lake


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.SEE_DONORS)
def messages(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Post a message, and list those that went out."""
    form = forms.MessageForm(request.POST if request.method == "POST" else None, lake=lake)
    by_mail = _addresses(lake)
    if request.method == "POST" and form.is_valid():
        now = timezone.now()
        message = services.post_message(
            lake,
            text=form.cleaned_data["text"],
            by_mail=form.cleaned_data["by_mail"] and bool(by_mail),
            actor=request.user,
            now=now,
        )
        if form.cleaned_data["by_mail"] and by_mail:
            _begin(request, message)
        success(request, "Posted. Phones show it when next online.")
        return redirect("donors:messages", lake.slug)
    context = {
        "lake": lake,
        "form": form,
        "by_mail": by_mail,
        "is_mail_set_up": services.is_mail_set_up(),
        "sent": queries.messages_of(lake, now=timezone.now()),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "donors/messages.html", context, status=status)


def _addresses(lake: Lake) -> int:
    """Count whom a message can be mailed to: nobody where that is switched off."""
    if not lake.mails_donors or not services.is_mail_set_up():
        return 0
    return queries.addresses_to_mail(lake).count()


def _begin(request: SignedInRequest, message: DonorMessage) -> None:
    site = site_address(request, "/").rstrip("/")
    computed.request_mailing(message, site=site, now=timezone.now())


def _message(lake: Lake, pk: int) -> DonorMessage:
    return get_object_or_404(DonorMessage.objects.select_related("lake"), lake=lake, pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.SEE_DONORS)
def message(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Edit a message that is out."""
    found = _message(lake, pk)
    form = forms.MessageForm(
        request.POST if request.method == "POST" else None, lake=lake, initial={"text": found.text}
    )
    if request.method == "POST" and form.is_valid():
        done = services.edit_message(
            found, text=form.cleaned_data["text"], actor=request.user, now=timezone.now()
        )
        if done:
            success(request, "Saved. Phones show the new words when next online.")
        else:
            error(request, "This message was withdrawn. Post a new one.", extra_tags="withdrawn")
        return redirect("donors:messages", lake.slug)
    context = {"lake": lake, "form": form, "message": found}
    status = 422 if request.method == "POST" else 200
    return render(request, "donors/message.html", context, status=status)


@require_POST
@lake_permission_required(Permission.SEE_DONORS)
def withdraw(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take a message off phones and pages."""
    services.withdraw_message(_message(lake, pk), actor=request.user, now=timezone.now())
    success(request, "Withdrawn. Phones drop the message when next online.")
    return redirect("donors:messages", lake.slug)


@require_POST
@lake_permission_required(Permission.SEE_DONORS)
def mail(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Mail a message to donors who have not got it: new addresses, and those that failed.

    Those whose sender gave no answer are sent again only where that is chosen.
    """
    found = _message(lake, pk)
    if not _addresses(lake):
        error(request, "Nobody to email: check the switch and addresses.", extra_tags="nobody")
        return redirect("donors:messages", lake.slug)
    now = timezone.now()
    if "unanswered" in request.POST:
        services.queue_unanswered(found, now=now)
    else:
        services.queue_mails(found, now=now)
    _begin(request, found)
    success(request, "Emails of this message are being sent. Reload to see how many went.")
    return redirect("donors:messages", lake.slug)
