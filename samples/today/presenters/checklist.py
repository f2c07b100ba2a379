"""What is left to set up at a new lake; gone for good with its first fish."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Sum
from django.urls import reverse
from django.utils.formats import date_format

from samples.accounts.permissions import Permission
from samples.models import Arm, Fish, Lake, LakeSpecies, Membership, Season, Target, Vial

_NAMED = 3


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to set up: what is there, or what to do, and the page where it is done."""

    label: str
    detail: str
    is_done: bool
    address: str
    button: str
    # A lake may do without it, so that it is never the one thing to do next.
    is_optional: bool = False

    @property
    def state(self) -> str:
        return "done" if self.is_done else "open"


@dataclass(frozen=True, slots=True)
class Checklist:
    """All steps in the order in which they are done."""

    steps: list[Step]

    @property
    def done(self) -> int:
        return sum(step.is_done for step in self.steps)

    @property
    def next_step(self) -> Step | None:
        """Return the first step that the lake cannot do without."""
        return next(
            (step for step in self.steps if not step.is_done and not step.is_optional), None
        )


def checklist_of(
    lake: Lake, season: Season | None, granted: Collection[Permission]
) -> Checklist | None:
    """Return the steps, for whoever sets the lake up; nothing once a fish was logged."""
    if Permission.EDIT_WATERS not in granted or Fish.objects.filter(lake=lake).exists():
        return None
    # A lake may be set up ahead of its first season.
    season = season or Season.objects.filter(lake=lake).order_by("starts_on").first()
    steps = [
        (Permission.EDIT_WATERS, _species),
        (Permission.EDIT_WATERS, _arms),
        (Permission.EDIT_WATERS, _season),
        (Permission.EDIT_PEOPLE, _people),
        (Permission.EDIT_TARGETS, _targets),
        (Permission.PRINT_LABELS, _labels),
        (Permission.LOG_FISH, _first_fish),
    ]
    return Checklist([step(lake, season) for needed, step in steps if needed in granted])


def _species(lake: Lake, season: Season | None) -> Step:
    rows = LakeSpecies.objects.filter(lake=lake).select_related("species")
    names = [row.species.name for row in rows.order_by("position", "pk")]
    return Step(
        "Species",
        _list(names) if names else "Check the species that are sampled here.",
        bool(names),
        reverse("waters:species" if names else "waters:add_listed_species", args=[lake.slug]),
        "Change species" if names else "Add species",
    )


def _arms(lake: Lake, season: Season | None) -> Step:
    names = list(
        Arm.objects.filter(lake=lake, whole_lake=False)
        .order_by("position", "pk")
        .values_list("name", flat=True)
    )
    return Step(
        "Arms and reaches",
        _list(names) if names else "Name the arms to compare. Skip for a single arm.",
        bool(names),
        reverse("waters:arms", args=[lake.slug]),
        "Change arms" if names else "Add arms",
        is_optional=True,
    )


def _season(lake: Lake, season: Season | None) -> Step:
    if season is None:
        detail = "Enter the season's first and last day, and the permit number."
        return Step(
            "Season and permit",
            detail,
            False,
            reverse("waters:add_season", args=[lake.slug]),
            "Add a season",
        )
    days = f"{date_format(season.starts_on)} to {date_format(season.ends_on)}"
    named = "" if season.name in days else f"{season.name}, "
    permit = f"permit {season.permit_number}" if season.permit_number else "no permit entered"
    return Step(
        "Season and permit",
        f"{named}{days}; {permit}",
        True,
        reverse("waters:season", args=[lake.slug, season.pk]),
        "Change season",
    )


def _people(lake: Lake, season: Season | None) -> Step:
    found = Membership.objects.filter(lake=lake).values_list("role", "person")
    by_role = Counter(role for role, _ in found)
    several = len({person for _, person in found}) > 1
    counted = [
        f"{n} {_in_words(role, n)}" for role in reversed(Membership.Role) if (n := by_role[role])
    ]
    return Step(
        "People",
        ", ".join(counted)
        if several
        else "One person so far. Add the office, the readers and the guides.",
        several,
        reverse("accounts:people", args=[lake.slug]),
        "Change people" if several else "Add people",
    )


def _in_words(role: Membership.Role, n: int) -> str:
    if role is Membership.Role.OFFICE:
        return "in the office"
    return f"{role.label.lower()}{'' if n == 1 else 's'}"


def _targets(lake: Lake, season: Season | None) -> Step:
    wanted = (
        Target.objects.filter(season=season, arm=None)
        .values_list("species__name")
        .annotate(n=Sum("wanted"))
        .order_by("species__name")
    )
    counted = [f"{n} {name.lower()}" for name, n in wanted] if season else []
    return Step(
        "Targets",
        _list(counted) if counted else "How many aged fish are needed in each length bin.",
        bool(counted),
        reverse("targets:targets", args=[lake.slug]),
        "Change targets" if counted else "Set targets",
    )


def _labels(lake: Lake, season: Season | None) -> Step:
    count = Vial.objects.filter(lake=lake).count()
    return Step(
        "Vial labels",
        f"{count} printed" if count else "Choose a label stock and print the first sheet.",
        bool(count),
        reverse("vials:labels", args=[lake.slug]),
        "Print more" if count else "Print labels",
    )


def _first_fish(lake: Lake, season: Season | None) -> Step:
    return Step(
        "First fish",
        "Log one fish to try the vials out. This list then closes.",
        False,
        reverse("ramp:log"),
        "Log fish",
    )


def _list(names: list[str]) -> str:
    more = len(names) - _NAMED
    if more > 1:
        return f"{', '.join(names[:_NAMED])} and {more} more"
    return ", ".join(names)
