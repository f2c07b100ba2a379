"""A net plan, its sheets for the crew, and the form of a net set."""

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import fish_counted
from samples.models import Lake, LakeSpecies, PlannedSets, Season
from samples.nets import forms, pdf, queries, services
from samples.nets.parts import CrewSheet, Station, StationPlan, TallySheet
from samples.ramp.services import TryLater
from samples.rules.lake_time import local_day
from samples.targets.queries.choice import CoverageOptions, CoverageSelection, options_of
from samples.targets.rules import LengthBin
from samples.units import LengthUnit

if TYPE_CHECKING:
    from samples.nets.presenters import NetPlan

USUAL_NIGHTS = 1
PARTS = (("", "All year"), ("spring", "Spring (January to June)"), ("fall", "Fall (July on)"))
MOST_SHEETS = 60


def _number(word: str, *, digits: int = 6) -> int | None:
    """Return a number of an address, or nothing where it is none of at most so many digits."""
    return int(word) if word.isascii() and word.isdigit() and len(word) <= digits else None


class _Asked:
    """What the address chooses: species, season, mesh and part of the year of earlier sets."""

    def __init__(self, request: SignedInRequest, options: CoverageOptions) -> None:
        words = request.GET
        self.options = options
        self.season = options.season_named(words.get("season", ""))
        self.species = options.species_coded(words.get("species", ""))
        self.part = words.get("part", "") if words.get("part", "") in dict(PARTS) else ""
        self.mesh = _number(words.get("mesh", ""), digits=3)
        picked = {number for one in words.getlist("bin") if (number := _number(one)) is not None}
        self.chosen = picked if words.get("picked") else None

    def selection(self, season: Season, species: LakeSpecies) -> CoverageSelection:
        return CoverageSelection(
            lake=self.options.lake,
            season=season,
            species=species.species,
            bin_width=species.bin_width_hundredths_mm,
        )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_TARGETS)
def plan(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show which lengths need nets and how many sets they take; keep the stations."""
    today = local_day(timezone.now(), lake.time_zone)
    asked = _Asked(request, options_of(lake, today))
    season, species = asked.season, asked.species
    if season is None or species is None:
        return render(request, "nets/plan.html", {"lake": lake})
    stations, kept = queries.stations_of(lake), queries.plan_of(season)
    found, meshes = _plan_of(asked, season, species, stations, kept)
    form = forms.StationsForm(
        request.POST if request.method == "POST" else None,
        stations=stations,
        initial=_initial(kept, found, asked),
    )
    if request.method == "POST" and form.is_valid():
        return _save(request, lake, season, form)
    made = queries.sets_made(season)
    context = {
        "lake": lake,
        "season": season,
        "species": species.species,
        "asked": asked,
        "plan": found,
        "meshes": meshes,
        "parts": PARTS,
        "form": form,
        "rows": [(one, form.box(one.station)) for one in _station_plans(stations, kept, made)],
        "is_kept": bool(kept),
        "planned": sum(row.sets for row in kept),
        "made": sum(made.values()),
        "sets": queries.sets_on_record(season),
        "most": _most_sets(),
        "finding": _finding_address(lake, species),
        "query": request.GET.urlencode(),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "nets/plan.html", context, status=status)


def _most_sets() -> int:
    from samples.nets.presenters import MOST_SETS

    return MOST_SETS


def _plan_of(
    asked: _Asked,
    season: Season,
    species: LakeSpecies,
    stations: list[Station],
    kept: list[PlannedSets],
) -> "tuple[NetPlan, list[int]]":
    # Loaded here: a page that plans nothing does without numpy.
    from samples.findings.queries.net_sets import load_net_sets
    from samples.nets.presenters import meshes_of, plan_nets, sets_alike
    from samples.targets.presenters.shaping import coverage_of

    options = asked.options
    selection = asked.selection(season, species)
    coverage = coverage_of(fish_counted(options.lake), options, selection, donors_named=False)
    begun = [one for one in options.seasons if one.starts_on <= season.starts_on]
    sets = load_net_sets(options.lake, species.species_id, begun)
    donated = queries.donated_by_bin(
        options.lake, species.species_id, begun[:2], selection.bin_width
    )
    found = plan_nets(
        coverage,
        sets_alike(sets, mesh_mm=asked.mesh, part=asked.part),
        donated=donated,
        chosen=asked.chosen,
        stations=stations,
        planned=sum(row.sets for row in kept),
    )
    return found, meshes_of(sets)


def _initial(kept: list[PlannedSets], found: "NetPlan", asked: _Asked) -> dict[str, Any]:
    """Start from the plan that is kept, else from what is proposed."""
    if not kept:
        boxes = {f"sets_{one.code}": number for one, number in found.proposed.items()}
        return {"net_nights": USUAL_NIGHTS, "net_mesh_mm": asked.mesh, **boxes}
    boxes = {f"sets_{row.arm_id}-{row.reach_id or 0}": row.sets for row in kept}
    return {"net_nights": kept[0].net_nights, "net_mesh_mm": kept[0].net_mesh_mm, **boxes}


def _station_plans(
    stations: list[Station],
    kept: list[PlannedSets],
    made: Mapping[tuple[int, int | None], int],
) -> list[StationPlan]:
    planned = {(row.arm_id, row.reach_id): row.sets for row in kept}
    keys = ((one, (one.arm_id, one.reach_id)) for one in stations)
    return [StationPlan(one, planned.get(key, 0), made.get(key, 0)) for one, key in keys]


def _finding_address(lake: Lake, species: LakeSpecies) -> str:
    address = reverse("findings:finding", args=[lake.slug, "net-catch"])
    return f"{address}?{urlencode({'species': species.species.code})}"


def _save(
    request: SignedInRequest, lake: Lake, season: Season, form: forms.StationsForm
) -> HttpResponse:
    sets = services.save_plan(
        season,
        form.sets(),
        net_nights=form.cleaned_data["net_nights"],
        net_mesh_mm=form.cleaned_data["net_mesh_mm"],
    )
    word = "1 set" if sets == 1 else f"{sets} sets"
    messages.success(request, f"Plan saved: {word} in {season}.")
    query = request.GET.urlencode()
    address = reverse("nets:plan", args=[lake.slug])
    return redirect(f"{address}?{query}" if query else address)


@require_safe
@lake_permission_required(Permission.EDIT_TARGETS)
def sheet(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Draw the crew's sheets: the plan that is kept, and a page to tally in for each set."""
    today = local_day(timezone.now(), lake.time_zone)
    asked = _Asked(request, options_of(lake, today))
    season, species = asked.season, asked.species
    if season is None or species is None:
        raise Http404("No season or species yet.")
    kept = queries.plan_of(season)
    stations = queries.stations_of(lake)
    found, _ = _plan_of(asked, season, species, stations, kept)
    content = pdf.crew_pdf(
        _crew_sheet(lake, season, species, found, kept), request.GET.get("paper", "")
    )
    response = HttpResponse(content, content_type="application/pdf")
    name = slugify(f"net sets {lake.slug} {season.name}")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _crew_sheet(
    lake: Lake, season: Season, species: LakeSpecies, found: "NetPlan", kept: list[PlannedSets]
) -> CrewSheet:
    unit = LengthUnit(lake.length_unit)
    places = [
        (f"{row.arm.name}, {row.reach.name}" if row.reach else row.arm.name, row.sets)
        for row in kept
    ]
    each = [name for name, sets in places for _ in range(sets)][:MOST_SHEETS]
    number = season.permit_number
    return CrewSheet(
        lake=str(lake),
        season=str(season),
        permit=f"Permit {number}, {season.permit_holder}.".replace(", .", ".") if number else "",
        stations=tuple(places),
        net_nights=kept[0].net_nights if kept else USUAL_NIGHTS,
        net_mesh_mm=kept[0].net_mesh_mm if kept else None,
        needed=tuple(
            (f"{species.species.name}, {one.column.name}", f"{one.to_collect} fish")
            for one in found.netted
        ),
        species=tuple(one.species.short_name for one in queries.species_of(lake)),
        bins=tuple(one.name.removesuffix(f" {unit.value}") for one in _bins(lake, species)),
        unit=unit.value,
        sheets=tuple(TallySheet(name, place, len(each)) for place, name in enumerate(each, start=1))
        or (TallySheet("", 0, 0),),
    )


def _bins(lake: Lake, species: LakeSpecies) -> list[LengthBin]:
    return forms.bins_of(species, LengthUnit(lake.length_unit))


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.LOG_FOR_OTHERS)
def record(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take in one net set with its catch."""
    now = timezone.now()
    today = local_day(now, lake.time_zone)
    form = forms.NetSetForm(
        request.POST if request.method == "POST" else None,
        lake=lake,
        stations=queries.stations_of(lake),
        species=queries.species_of(lake),
        seasons=list(Season.objects.filter(lake=lake)),
        today=today,
        initial=_like_last(request, lake, today),
    )
    if request.method == "POST" and form.is_valid() and _recorded(request, lake, form):
        return redirect("nets:record", lake.slug)
    context = {
        "lake": lake,
        "form": form,
        "may_plan": has_permission(request.user, Permission.EDIT_TARGETS, lake),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "nets/record.html", context, status=status)


def _like_last(request: SignedInRequest, lake: Lake, today: date) -> dict[str, Any]:
    """Start from the gear and effort of the set recorded last; the station changes."""
    last = queries.last_set_by(request.user, lake)
    if last is None:
        return {}
    return {
        "lifted_on": last.caught_on or today,
        "method": last.method,
        "net_nights": last.net_nights,
        "net_mesh_mm": last.net_mesh_mm,
    }


def _recorded(request: SignedInRequest, lake: Lake, form: forms.NetSetForm) -> bool:
    """Record what was typed; else say on the form why it could not be."""
    facts = form.facts()
    try:
        services.record_net_set(facts, lake=lake, actor=request.user, now=timezone.now())
    except services.CannotRecord as problem:
        form.add_problem(problem.field or None, str(problem), code=problem.code)
        return False
    except TryLater as problem:
        form.add_problem(None, str(problem), code=problem.code)
        return False
    fish = "empty net" if not facts.fish else f"{facts.fish} fish"
    day = date_format(facts.lifted_on)
    messages.success(request, f"Net set saved: {facts.station.name}, {day}, {fish}.")
    return True


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.EDIT_TARGETS)
def delete(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Ask before a net set is deleted, and delete it."""
    found = queries.set_on_record(lake, pk)
    if found is None:
        raise Http404("No such net set.")
    party, shown = found
    problem = ""
    if request.method == "POST":
        try:
            services.delete_net_set(party, actor=request.user, now=timezone.now())
        except (services.CannotRecord, TryLater) as refused:
            problem = str(refused)
        else:
            messages.success(request, f"Net set deleted: {shown.station}.")
            return redirect("nets:plan", lake.slug)
    context = {"lake": lake, "one": shown, "problem": problem}
    return render(request, "nets/delete.html", context, status=422 if problem else 200)
