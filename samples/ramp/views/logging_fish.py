"""Logging one fish after another, and putting the last ones right."""

from collections import Counter
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.doors import SignedInRequest, may_somewhere
from samples.accounts.roles import May, lakes_where
from samples.accounts.scope import fish_logged_by
from samples.models import Fish, Party, Sex, SpeciesGroup, User
from samples.ramp import forms, queries, services
from samples.ramp.entry import Correction, FishLogged, read
from samples.ramp.views import trips
from samples.ramp.views.answering import take_one, tell
from samples.rules import vial_number
from samples.rules.plausible import Question

FISH_ON_A_PAGE = 50
LAST_DIGITS = 5
SCHEMES = {"daylight", "dark"}
A_YEAR_S = 60 * 60 * 24 * 365


def fish_form(
    person: User, party: Party, kind: type[forms.FishForm], data: Any = None, **kwargs: Any
) -> forms.FishForm:
    return kind(
        data,
        lake=party.lake,
        species=queries.species_on_form(party.lake),
        may_go_without_vial=party.lake in lakes_where(person, May.LOG_FOR_OTHERS),
        party_id=party.party_id,
        **kwargs,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FISH)
def log(request: SignedInRequest) -> HttpResponse:
    """Log one fish, then offer an empty form for the next one."""
    party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
    if party is None:
        return redirect_with_vial("ramp:open_party", request.GET.get("vial", ""))
    now = timezone.now()
    standing = trips.day_to_ask(request, party, now)
    if request.method != "POST":
        if standing is not None:
            return trips.day_page(request, standing)
        form = fish_form(request.user, party, forms.FishForm, initial=_first_words(request, party))
        return _page(request, party, form)

    form = fish_form(request.user, party, forms.FishForm, _full_number(request, party))
    if standing is not None and not request.POST.get("carry_on"):
        return _page(request, party, form, standing=standing)
    if standing is not None:
        trips.note_carried_on(request, standing)
    entry = form.read_fish(now=now)
    if not isinstance(entry, FishLogged) or _still_to_ask(request, party, form, entry):
        return _page(request, party, form)
    known = _known_with_other_words(request.user, entry)
    again = request.POST.get("again", "")
    if known is not None and not again:
        return _page(request, party, form, known=known)
    if known is not None:
        return _again(request, party, form, known, again, now)
    answer = take_one(entry, by=request.user, now=now)
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
        form.kind = forms.CorrectionForm.kind
        entry = form.read_fish(now=now, entry_id=new_id, about_entry_id=str(known.entry_id))
    else:
        entry = form.read_fish(now=now, entry_id=new_id)
    if entry is None:
        return _page(request, party, form)
    answer = take_one(entry, by=request.user, now=now)
    return _answered(request, party, form, answer, entry)


def _answered(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    answer: services.Answer,
    entry: Any,
) -> HttpResponse:
    if answer.outcome == services.Outcome.REFUSED:
        form.refuse(answer.errors)
        return _page(request, party, form)
    facts = entry.fish
    number = _as_printed(facts.vial)
    length = f"{facts.measured.as_measured} {facts.measured.unit}"
    kind = next((one.short_name for one in form.species_list if one.code == facts.species), "")
    words = f"{number or 'Fish'} saved: {length}, {kind} {Sex(facts.sex).label.lower()}."
    tell(request, answer, done=words)
    return redirect("ramp:log")


def _as_printed(text: str) -> str:
    try:
        return vial_number.grouped(vial_number.parse(text).number)
    except vial_number.VialNumberRefused:
        return text


def _known_with_other_words(person: User, entry: FishLogged) -> Fish | None:
    fish = fish_logged_by(person).filter(entry_id=entry.entry_id).select_related("vial").first()
    return fish if fish and fish.fingerprint != entry.fingerprint() else None


def _still_to_ask(
    request: SignedInRequest,
    party: Party,
    form: forms.FishForm,
    entry: FishLogged | Correction,
    own: Fish | None = None,
) -> bool:
    """Put the questions still open on the page; say whether there are any."""
    species = next((one for one in form.species_list if one.code == entry.fish.species), None)
    asked = queries.questions_about(entry.fish, species) if species else []
    # A page that is sent again speaks of the fish that it logged.
    own = own or fish_logged_by(request.user).filter(entry_id=entry.entry_id).first()
    try:
        if entry.fish.vial:
            number = vial_number.parse(entry.fish.vial).number
            asked += queries.vial_questions(request.user, party, number, own=own)
    except vial_number.WrongCheckDigit as problem:
        asked.append(Question(problem.code, "vial", problem.sentence))
    except vial_number.VialNumberRefused as problem:
        form.refuse({"vial": [problem.sentence]})
        return True
    form.ask([one for one in asked if one.code not in entry.fish.confirmed])
    return bool(form.asked)


def _full_number(request: SignedInRequest, party: Party) -> Any:
    """Complete a number of which only the last digits were typed, where only one fits."""
    words = request.POST.copy()
    typed = "".join(words.get("vial", "").split())
    if not (typed.isdigit() and len(typed) <= LAST_DIGITS):
        return words
    found = queries.vials_ending(request.user, typed)
    if found.only:
        words["vial"] = vial_number.grouped(found.only)
    return words


def _first_words(request: SignedInRequest, party: Party) -> dict[str, Any]:
    """Give the next fish its likely number and the species of the last."""
    scanned = request.GET.get("vial", "")
    number = scanned or queries.next_number_for(request.user, party)
    last = queries.last_fish_of(request.user, party, 1)
    return {
        "vial": _as_printed(number),
        "species": last[0].species.code if last else "",
    }


def redirect_with_vial(name: str, vial: str) -> HttpResponse:
    response = redirect(name)
    if vial.isdigit():
        response["Location"] += f"?vial={vial}"
    return response


def _to_tell_apart(form: forms.FishForm) -> list[SpeciesGroup]:
    """List the groups of which the form offers more than one: the others need no help."""
    offered = Counter(one.group for one in form.species_list if one.group)
    return [group for group, kinds in offered.items() if kinds > 1]


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
    context = {
        "form": form,
        "party": party,
        "known": known,
        "standing": standing,
        "last": queries.last_fish_of(request.user, party),
        "count": queries.count_of(party),
        "groups": _to_tell_apart(form),
        "several": several,
        "held": request.user.held_entries.filter(state="open").count(),
        "for_others": party.lake in lakes_where(request.user, May.LOG_FOR_OTHERS),
    }
    status = 422 if form.is_bound else 200
    return render(request, "ramp/log.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FISH)
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
            request.user, party, forms.CorrectionForm, initial=forms.said_by_fish(fish)
        )
        return _correct_page(request, fish, form)
    form = fish_form(request.user, party, forms.CorrectionForm, request.POST)
    now = timezone.now()
    entry = form.read_fish(now=now, about_entry_id=str(fish.entry_id))
    if not isinstance(entry, Correction) or _still_to_ask(request, party, form, entry, fish):
        return _correct_page(request, fish, form)
    answer = take_one(entry, by=request.user, now=now)
    if answer.outcome == services.Outcome.REFUSED:
        form.refuse(answer.errors)
        return _correct_page(request, fish, form)
    tell(request, answer, done=f"{_as_printed(entry.fish.vial) or 'The fish'} is corrected.")
    return redirect("ramp:log")


def _correct_page(request: SignedInRequest, fish: Fish, form: forms.FishForm) -> HttpResponse:
    context = {
        "form": form,
        "fish": fish,
        "groups": _to_tell_apart(form),
    }
    return render(request, "ramp/correct.html", context, status=422 if form.is_bound else 200)


@require_POST
@may_somewhere(May.LOG_FISH)
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
    answer = take_one(read(raw), by=request.user, now=now)
    number = vial_number.grouped(fish.vial.number) if fish.vial else "The fish"
    tell(request, answer, done=f"{number} is taken back. Its vial is free.")
    return redirect("ramp:log")


@require_safe
@may_somewhere(May.LOG_FISH)
def mine(request: SignedInRequest) -> HttpResponse:
    """Show a person's own fish, and how old they were."""
    pages = Paginator(queries.own_fish(request.user), FISH_ON_A_PAGE)
    page = pages.get_page(request.GET.get("page"))
    return render(request, "ramp/mine.html", {"page": page, "total": pages.count})


@require_safe
def vial_link(request: HttpRequest, number: str) -> HttpResponse:
    """Open what a label's code leads to: the form with this vial, for those who log fish."""
    digits = number if number.isdigit() else ""
    person = request.user if isinstance(request.user, User) else None
    if person is None or not lakes_where(person, May.LOG_FISH):
        context = {"number": _as_printed(digits), "digits": digits}
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
