"""Logging one fish after another, and putting the last ones right."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, cast
from uuid import UUID, uuid4, uuid5

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, permission_required
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import fish_logged_by
from samples.models import Fish, Party, Sex, ToldBy, User
from samples.ramp import forms, queries, services
from samples.ramp.entry import Correction, FishLogged, read
from samples.ramp.views import trips
from samples.ramp.views.answering import add_message, ingest_one
from samples.rules import vial_number
from samples.rules.plausible import Question
from samples.rules.vial_number import read_vial

FISH_ON_A_PAGE = 50
LAST_DIGITS = 5
# From here down more are asked for; the phone's app says so at the same number.
FEW_VIALS = 5
SCHEMES = {"daylight", "dark"}
A_YEAR_S = 60 * 60 * 24 * 365


def fish_form(
    person: User, party: Party, kind: type[forms.FishForm], data: Any = None, **kwargs: Any
) -> forms.FishForm:
    return kind(
        data,
        lake=party.lake,
        species=queries.species_on_form(party.lake),
        may_go_without_vial=party.lake in lakes_with_permission(person, Permission.LOG_FOR_OTHERS),
        party_id=party.party_id,
        **kwargs,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@permission_required(Permission.LOG_FISH)
def log(request: SignedInRequest) -> HttpResponse:
    """Log one fish, then offer an empty form for the next one."""
    party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
    if party is None:
        return redirect_with_vial("ramp:open_party", request.GET.get("vial", ""))
    now = timezone.now()
    standing = trips.day_question(request, party, now)
    if request.method != "POST":
        if standing is not None:
            return trips.day_page(request, standing)
        form = fish_form(request.user, party, forms.FishForm, initial=_initial(request, party))
        return _page(request, party, form)

    if counted := _counted(request):
        return _page(
            request, party, fish_form(request.user, party, forms.FishForm, initial=counted)
        )
    form = fish_form(request.user, party, forms.FishForm, _full_number(request, party))
    if standing is not None and not request.POST.get("carry_on"):
        return _page(request, party, form, standing=standing)
    if standing is not None:
        trips.note_carried_on(request, standing)
    entry = form.read_fish(now=now)
    if not isinstance(entry, FishLogged) or _open_question(request, party, form, entry):
        return _page(request, party, form)
    known = _known_with_other_facts(request.user, entry)
    again = request.POST.get("again", "")
    if known is not None and not again:
        return _page(request, party, form, known=known)
    if known is not None:
        return _again(request, party, form, known, again, now)
    answer = ingest_one(entry, author=request.user, now=now)
    return _answered(request, party, form, answer, entry)


def _again(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    known: Fish,
    again: str,
    now: datetime,
) -> HttpResponse:
    """Back brought an old page with new words: a correction, or another fish, as they say."""
    new_id = str(uuid4())
    if again == "correct":
        form.kind = Correction
        entry = form.read_fish(now=now, entry_id=new_id, about_entry_id=str(known.entry_id))
    else:
        entry = form.read_fish(now=now, entry_id=new_id)
    if entry is None:
        return _page(request, party, form)
    answer = ingest_one(entry, author=request.user, now=now)
    return _answered(request, party, form, answer, entry)


def _answered(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    answer: services.Answer,
    entry: Any,
) -> HttpResponse:
    if answer.outcome == services.Outcome.REFUSED:
        form.refuse(answer.errors, code=answer.reason)
        return _page(request, party, form)
    facts = entry.fish
    number = facts.vial.as_printed
    length = f"{facts.length.as_measured} {facts.length.unit}"
    kind = next((one.name for one in form.species_list if one.code == facts.species), "")
    words = f"Saved {number or 'the fish'}: {length}, {kind} {Sex(facts.sex).label.lower()}."
    add_message(request, answer, done=words)
    return redirect("ramp:log")


def _known_with_other_facts(person: User, entry: FishLogged) -> Fish | None:
    fish = fish_logged_by(person).filter(entry_id=entry.entry_id).select_related("vial").first()
    return fish if fish and fish.fingerprint != entry.fingerprint() else None


def _open_question(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    entry: FishLogged | Correction,
    own: Fish | None = None,
) -> bool:
    """Put the questions still open on the page; say whether there are any."""
    species = next((one for one in form.species_list if one.code == entry.fish.species), None)
    questions = queries.questions_about(entry.fish, species) if species else []
    # A page that is sent again speaks of the fish that it logged.
    own = own or fish_logged_by(request.user).filter(entry_id=entry.entry_id).first()
    vial = entry.fish.vial
    if vial.number is not None:
        questions += queries.vial_questions(request.user, party, vial.number, own=own)
    elif isinstance(vial.problem, vial_number.WrongCheckDigit):
        questions.append(Question(vial.problem.code, "vial", vial.problem.sentence))
    elif vial.problem is not None:
        _refuse_vial(request, party, form, vial.text, vial.problem)
        return True
    near = queries.vials_near(request.user, vial.text)
    form.ask([one for one in questions if one.code not in entry.fish.confirmed], near=near)
    return bool(form.questions)


def _refuse_vial(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    typed: str,
    problem: vial_number.VialNumberRefused,
) -> None:
    """Add an error with what is wrong with a number of a vial, and which may be meant."""
    digits = "".join(typed.split())
    is_ending = digits.isdigit() and len(digits) <= LAST_DIGITS
    if is_ending and not queries.vials_ending(request.user, digits).numbers:
        form.refuse(
            {"vial": [queries.no_vial_ends_so(request.user, party, digits)]}, code="none_ends_so"
        )
        return
    form.refuse({"vial": [problem.sentence]}, code=problem.code)
    near = queries.vials_near(request.user, typed)
    if near:
        form.offer_vials("Is it one of these?" if len(near) > 1 else "Is it this one?", near)


def _full_number(request: SignedInRequest, party: Party) -> Any:
    """Complete a number of which only the last digits were typed, where only one fits."""
    words = request.POST.copy()
    typed = "".join(words.get("vial", "").split())
    if not (typed.isdigit() and len(typed) <= LAST_DIGITS):
        return words
    found = queries.vials_ending(request.user, typed)
    number = found.only or (not found.numbers and queries.used_vial_ending(request.user, typed))
    if number:
        words["vial"] = vial_number.grouped(number)
    return words


def _initial(request: SignedInRequest, party: Party) -> dict[str, Any]:
    """Return the likely number and the last species for the next fish.

    After a fish that was only measured no number is offered: it would claim the next vial.
    """
    last = queries.last_fish_of(request.user, party, 1)
    number = request.GET.get("vial", "")
    if not number and not (last and last[0].vial is None):
        number = queries.next_number_for(request.user, party)
    return {
        "vial": read_vial(number).as_printed,
        "species": last[0].species.code if last else "",
    }


def redirect_with_vial(name: str, vial: str) -> HttpResponse:
    response = redirect(name)
    if vial.isdigit():
        response["Location"] += f"?vial={vial}"
    return response


def _counted(request: SignedInRequest) -> dict[str, Any] | None:
    """Return what was typed with the spines that were counted on the picture, if they were."""
    counted = request.POST.get("counted", "")
    if not counted:
        return None
    words: dict[str, Any] = request.POST.dict()
    return words | {"spines": counted, "told_by": words.get("told_by") or ToldBy.SPINES}


def _page(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    *,
    known: Fish | None = None,
    standing: queries.Standing | None = None,
) -> HttpResponse:
    typed = "".join(str(form["vial"].value() or "").split())
    several = (
        queries.vials_ending(request.user, typed).numbers
        if form.errors.get("vial") and typed.isdigit() and len(typed) <= LAST_DIGITS
        else ()
    )
    last = queries.last_fish_of(request.user, party)
    for_others = party.lake in lakes_with_permission(request.user, Permission.LOG_FOR_OTHERS)
    numbers = [fish.vial.number for fish in last if fish.vial and for_others]
    slips = queries.slip_words(party.lake, numbers)
    context = {
        "form": form,
        "party": party,
        "known": known,
        "standing": standing,
        # Whoever gave a fish at a clerk's table gets a slip.
        "last": [(fish, slips.get(fish.vial.number, "") if fish.vial else "") for fish in last],
        "count": queries.count_of(party),
        "vials_left": queries.vials_left(request.user, party),
        "few_vials": FEW_VIALS,
        "several": several,
        "held": request.user.held_entries.filter(state="open").count(),
        "for_others": for_others,
    }
    status = 422 if form.is_bound else 200
    return render(request, "ramp/log.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@permission_required(Permission.LOG_FISH)
def correct(request: SignedInRequest, entry_id: UUID) -> HttpResponse:
    """Write a fish down anew."""
    fish = get_object_or_404(
        fish_logged_by(request.user).select_related("vial", "species", "lake", "party__lake"),
        entry_id=entry_id,
        withdrawn=False,
    )
    party = fish.party
    if request.method != "POST":
        form = fish_form(
            request.user, party, forms.CorrectionForm, initial=forms.initial_of_fish(fish)
        )
        return _correct_page(request, fish, form)
    if counted := _counted(request):
        form = fish_form(request.user, party, forms.CorrectionForm, initial=counted)
        return _correct_page(request, fish, form)
    form = fish_form(
        request.user, party, forms.CorrectionForm, request.POST, weight_before=fish.weight_g
    )
    now = timezone.now()
    entry = form.read_fish(now=now, about_entry_id=str(fish.entry_id))
    if not isinstance(entry, Correction) or _open_question(request, party, form, entry, fish):
        return _correct_page(request, fish, form)
    answer = ingest_one(entry, author=request.user, now=now)
    if answer.outcome == services.Outcome.REFUSED:
        form.refuse(answer.errors, code=answer.reason)
        return _correct_page(request, fish, form)
    add_message(request, answer, done=f"Corrected {entry.fish.vial.as_printed or 'the fish'}.")
    return redirect("ramp:log")


def _correct_page(request: SignedInRequest, fish: Fish, form: forms.FishForm) -> HttpResponse:
    context = {"form": form, "fish": fish}
    return render(request, "ramp/correct.html", context, status=422 if form.is_bound else 200)


@require_POST
@permission_required(Permission.LOG_FISH)
def undo(request: SignedInRequest, entry_id: UUID) -> HttpResponse:
    """Withdraw a fish; its row stays, marked, and its vial is free."""
    fish = get_object_or_404(
        fish_logged_by(request.user).select_related("party", "vial"), entry_id=entry_id
    )
    now = timezone.now()
    # The id follows from the fish's own, so that a double tap is one withdrawal.
    raw = {
        "kind": "withdrawal",
        "schema": 1,
        "entry_id": str(uuid5(fish.entry_id, "withdrawn")),
        "party_id": str(fish.party.party_id),
        "about_entry_id": str(fish.entry_id),
        "written_at": now.isoformat(),
    }
    answer = ingest_one(read(raw), author=request.user, now=now)
    done = "Deleted the fish."
    if fish.vial:
        done = f"Deleted {vial_number.grouped(fish.vial.number)}. The vial can be used again."
    add_message(request, answer, done=done)
    return redirect("ramp:log")


@require_safe
@permission_required(Permission.LOG_FISH)
def mine(request: SignedInRequest) -> HttpResponse:
    """Show a person's own fish, and how old they were."""
    fish = queries.own_fish(request.user)
    filters = forms.MyFishForm(request.GET, fish=fish)
    chosen = filters.choose(fish)
    # It has what a paginator needs: how many, and those from one place to another.
    found = cast("Sequence[queries.OwnFish]", chosen)
    page = Paginator(found, FISH_ON_A_PAGE).get_page(request.GET.get("page"))
    kept = request.GET.copy()
    kept.pop("page", None)
    context = {
        "form": filters,
        "page": page,
        "lines": [(one, queries.STANDINGS[one["standing"]], forms.day_of(one)) for one in page],
        "has_any": bool(fish.held) or fish.rows.exists(),
        "counts": queries.counts_in_short(chosen, count=page.paginator.count),
        "query": kept.urlencode(),
        "notes": [
            (one["text"], one["lake"], date.fromisoformat(one["on"]), one["edited"])
            for one in queries.messages_to(request.user)
        ],
        "card_seasons": queries.card_seasons(request.user),
        "mail_lakes": queries.mail_lakes(request.user),
    }
    return render(request, "ramp/mine.html", context)


@require_safe
def vial_link(request: HttpRequest, number: str) -> HttpResponse:
    """Open what a label's code leads to: the form with this vial, for those who log fish."""
    digits = number if number.isdigit() else ""
    person = request.user if isinstance(request.user, User) else None
    if person is None or not lakes_with_permission(person, Permission.LOG_FISH):
        context = {"number": read_vial(digits).as_printed, "digits": digits}
        return render(request, "ramp/vial_link.html", context)
    return redirect_with_vial("ramp:log", digits)


@require_POST
def screen(request: HttpRequest) -> HttpResponse:
    """Turn the phone's page dark for the evening, or bright for the sun."""
    wanted = request.POST.get("scheme", "")
    response = redirect("ramp:log")
    if wanted in SCHEMES:
        response.set_cookie("scheme", wanted, max_age=A_YEAR_S, samesite="Lax", httponly=True)
    return response
