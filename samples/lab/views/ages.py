"""Ages to settle, and the page of one fish: its readings, its age and the rule that made it."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import fish_at
from samples.lab import forms, queries, services
from samples.lab.computed import possible_swaps_at_hand
from samples.lab.presenters.deciding import seen_of
from samples.lab.presenters.marks import pictures_to_mark
from samples.lab.queries.preparing import preparations_of, readable_preparations, requests_of
from samples.models import Age, Fish, Lake, Preparation, User
from samples.rules.lake_time import local_day
from samples.rules.plausible import Question

MOST_LISTED = 60


@require_safe
@never_cache
@lake_permission_required(Permission.DECIDE_AGES)
def settle(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the ages that wait for a decision, each with every reading."""
    person = request.user
    paginator = Paginator(queries.ages_to_settle(person, lake), queries.AGES_ON_A_PAGE)
    page = paginator.get_page(request.GET.get("page"))
    alone = queries.ages_standing(person, lake, Age.Standing.ONE_READER)
    waiting = queries.waiting_decisions().filter(fish__in=fish_at(person, lake))
    context = {
        "lake": lake,
        "page": page,
        "cards": queries.cards(page.object_list, lake),
        "waiting": waiting.select_related("fish__vial", "decided_by").order_by("decided_at", "pk"),
        "second_needed": queries.ages_standing(person, lake, Age.Standing.SECOND_NEEDED).count(),
        "one_reader_count": alone.count(),
        "one_reader": alone[:MOST_LISTED],
        "read_since": queries.decided_and_read_since(person, lake),
    }
    return render(request, "lab/settle.html", context)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def work_out(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Make every age of the lake anew, after its species' days were changed."""
    changed = services.work_out_ages(lake, now=timezone.now())
    words = f"{changed} age{'' if changed == 1 else 's'} changed." if changed else "No age changed."
    messages.success(request, f"Ages recalculated. {words}")
    return redirect("lab:settle", lake.slug)


def fish_of(person: User, lake: Lake, number: str) -> Fish:
    fish = (
        fish_at(person, lake)
        .filter(vial__number=number)
        .select_related("vial", "species", "arm")
        .first()
    )
    if fish is None:
        raise Http404("No fish is logged with this vial number here.")
    return fish


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.DECIDE_AGES)
def one_fish(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Show one fish's readings and age; add a reading by a plain form."""
    fish = fish_of(request.user, lake, number)
    if fish.vial is not None:
        services.note_length_seen(vial=fish.vial, person=request.user, now=timezone.now())
    if request.method != "POST":
        return _fish_page(request, lake, fish)
    form = forms.ReadingForm(request.POST, auto_id="id_reading_%s", preparations=_readable(fish))
    questions: tuple[Question, ...] = ()
    if form.is_valid() and fish.vial is not None:
        now = timezone.now()
        try:
            saved = services.save_reading(
                vial=fish.vial,
                reader=request.user,
                sitting_on=local_day(now, lake.time_zone),
                now=now,
                confirmed=request.POST.get("confirmed", "").split(),
                **form.facts(),
            )
        except services.CannotRead as problem:
            name = {"annulus_at_edge": "edge", "vial": None}.get(problem.field, problem.field)
            form.add_problem(name, problem.sentence, code=problem.code)
        except services.ReadingNeedsConfirmation as asked:
            questions = asked.questions
        else:
            messages.success(request, f"Reading saved. {saved.result.sentence}")
            return redirect("lab:vial", lake.slug, number)
    return _fish_page(request, lake, fish, reading=form, questions=questions, status=422)


def _fish_page(
    request: SignedInRequest,
    lake: Lake,
    fish: Fish,
    *,
    reading: forms.ReadingForm | None = None,
    questions: tuple[Question, ...] = (),
    status: int = 200,
) -> HttpResponse:
    swaps = possible_swaps_at_hand(lake)
    card = queries.card_of(fish)
    context = {
        "lake": lake,
        "fish": fish,
        "card": card,
        "history": queries.history_of(fish),
        "swap": swaps.of(fish.vial.number) if swaps and fish.vial else None,
        # The summary on top speaks of the form that was sent.
        "form": reading,
        "reading": reading
        or forms.ReadingForm(auto_id="id_reading_%s", preparations=_readable(fish)),
        "preparations": preparations_of(fish.vial) if fish.vial else [],
        "pictures": list(pictures_to_mark(fish.vial)) if fish.vial else [],
        "requests": requests_of(fish.vial) if fish.vial else [],
        "seen": seen_of(fish),
        "decided": card.age is not None and card.age.standing in services.DECISIONS,
        "questions": questions,
        "codes": " ".join(question.code for question in questions),
    }
    return render(request, "lab/vial.html", context, status=status)


def _readable(fish: Fish) -> list[Preparation]:
    return readable_preparations([fish.vial]).get(fish.vial.pk, []) if fish.vial else []
