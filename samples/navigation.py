"""The way around the staff's pages: six groups by role of the work, and the pages of each."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.urls import reverse

from samples.accounts.permissions import Permission, permissions_of, roles_at
from samples.accounts.selectors import lakes_of
from samples.findings.topics import OFFERED
from samples.models import Lake, User


@dataclass(frozen=True, slots=True)
class NavigationPage:
    """A page that the navigation leads to, and the permission that opens it."""

    label: str
    view_name: str
    # None: every member of the staff.
    permission: Permission | None = None
    arguments: tuple[str, ...] = ()
    # Views that belong to the page though their address does not begin with its own.
    covers: frozenset[str] = frozenset()
    is_of_lake: bool = True
    # Whom it is for, where that is no matter of a role at the lake.
    is_for: Callable[[User], bool] | None = None

    def address_at(self, lake: Lake) -> str:
        of_lake = (lake.slug,) if self.is_of_lake else ()
        return reverse(self.view_name, args=[*of_lake, *self.arguments])


@dataclass(frozen=True, slots=True)
class NavigationLink:
    """One link of the way around."""

    label: str
    address: str
    here: bool


@dataclass(frozen=True, slots=True)
class NavigationGroup:
    """Pages of one kind of work. The group's own link opens the first of them."""

    label: str
    address: str
    here: bool
    links: list[NavigationLink]


@dataclass(frozen=True, slots=True)
class Navigation:
    """The groups that a person has at a lake, and where in them the page at hand is."""

    groups: list[NavigationGroup]
    own: list[NavigationLink]
    # What the page at hand is called; empty where nothing leads to it.
    place: str
    # A page below the one that the navigation names.
    is_below: bool

    @property
    def group(self) -> NavigationGroup | None:
        return next((group for group in self.groups if group.here), None)

    @property
    def page(self) -> NavigationLink | None:
        links = [*(self.group.links if self.group else []), *self.own]
        return next((link for link in links if link.here), None)


def is_administrator(person: User) -> bool:
    return person.is_superuser


def has_several_lakes(person: User) -> bool:
    return len(lakes_of(person)) > 1


Page = NavigationPage
SEE_COVERAGE, EDIT_WATERS = Permission.SEE_COVERAGE, Permission.EDIT_WATERS

# In order. A group is left out where a person may open none of its pages.
NAVIGATION: dict[str, list[NavigationPage]] = {
    "Today": [
        Page("To do", "today"),
        Page("Entries to resolve", "ramp:held", Permission.SETTLE_HELD),
        Page("Saved views", "today:saved_views", SEE_COVERAGE),
        Page("All lakes", "today:lakes", is_of_lake=False, is_for=has_several_lakes),
        Page("Log fish", "ramp:log", Permission.LOG_FISH, is_of_lake=False),
    ],
    "Coverage": [
        Page("By arm and length", "targets:coverage", SEE_COVERAGE),
        Page("Worth of one more", "targets:worth", SEE_COVERAGE),
        Page("Fish", "targets:fish", Permission.SEE_FISH),
        Page("Targets", "targets:targets", Permission.EDIT_TARGETS),
        Page("Ask guides", "asks:asks", Permission.EDIT_TARGETS),
    ],
    "Lab": [
        Page("Receive vials", "vials:receive", Permission.MOVE_VIALS),
        Page("Clearing", "custody:trays", Permission.MOVE_VIALS),
        Page(
            "Prepare otoliths",
            "lab:preparations",
            Permission.PREPARE_OTOLITHS,
            covers=frozenset({"lab:preparation", "lab:spoil"}),
        ),
        Page("Pictures", "pictures:pictures", Permission.READ_OTOLITHS),
        Page("Reading sessions", "lab:sessions", Permission.READ_OTOLITHS),
        Page("Quality control", "lab:quality", Permission.READ_OTOLITHS),
        Page("Read otoliths", "lab:grid", Permission.READ_OTOLITHS),
        Page("Consensus ages", "lab:settle", Permission.DECIDE_AGES),
        Page("Archive", "custody:archive", Permission.MOVE_VIALS),
    ],
    "Findings": [
        Page(topic.title, "findings:finding", SEE_COVERAGE, (topic.slug,))
        for topic in OFFERED.values()
    ],
    "Vials": [
        Page(
            "Find a vial",
            "vials:find",
            Permission.MOVE_VIALS,
            covers=frozenset({"vials:mark", "search:vial"}),
        ),
        Page("Print labels", "vials:labels", Permission.PRINT_LABELS),
        Page(
            "Issue vials",
            "vials:issue",
            Permission.MOVE_VIALS,
            covers=frozenset({"vials:take_back"}),
        ),
        Page("Kits", "custody:kits", Permission.MOVE_VIALS),
    ],
    "Lake": [
        Page("Setup", "waters:lake", EDIT_WATERS),
        Page("Arms", "waters:arms", EDIT_WATERS, covers=frozenset({"waters:reach"})),
        Page("Species", "waters:species", EDIT_WATERS, covers=frozenset({"waters:group"})),
        Page("Seasons", "waters:seasons", EDIT_WATERS),
        Page("Regulations", "waters:regulations", EDIT_WATERS),
        Page("Consensus rule", "lab:consensus_rule", EDIT_WATERS),
        Page("Rates", "waters:elsewhere", EDIT_WATERS),
        Page("People", "accounts:people", Permission.EDIT_PEOPLE),
        Page("Terms", "search:terms", EDIT_WATERS),
        Page("Add a lake", "waters:add_lake", is_of_lake=False, is_for=is_administrator),
    ],
}
OWN_PAGES = [
    Page("Your account", "accounts:account", is_of_lake=False),
    Page("Terms", "search:terms"),
]
# No link of a menu: the search box leads there.
SEARCH = Page("Search", "search:search")
# The fish chosen on one finding stay chosen on the next.
KEEPS_QUERY = "findings:finding"


def pages_for(person: User, lake: Lake) -> dict[str, list[NavigationPage]]:
    """Return the pages that a person may open at a lake, by group."""
    granted = permissions_of(roles_at(person, lake))
    allowed = {
        label: [page for page in pages if _is_open(page, person, granted)]
        for label, pages in NAVIGATION.items()
    }
    return {label: pages for label, pages in allowed.items() if pages}


def _is_open(page: NavigationPage, person: User, granted: set[Permission]) -> bool:
    may = page.permission is None or page.permission in granted
    return may and (page.is_for is None or page.is_for(person))


def navigation_at(
    person: User, lake: Lake, path: str, *, view_name: str = "", query: str = ""
) -> Navigation:
    """Return the way around for a person at a lake, as seen from one page."""
    pages = pages_for(person, lake)
    every = [page for group in pages.values() for page in group]
    current = _page_at([*OWN_PAGES, *every, SEARCH], lake, path, view_name)
    kept = f"?{query}" if query and view_name == KEEPS_QUERY else ""

    def links_of(pages: Iterable[NavigationPage]) -> list[NavigationLink]:
        return [
            NavigationLink(
                page.label,
                page.address_at(lake) + (kept if page.view_name == KEEPS_QUERY else ""),
                page is current,
            )
            for page in pages
        ]

    groups = [
        NavigationGroup(label, links[0].address, any(link.here for link in links), links)
        for label, links in ((label, links_of(group)) for label, group in pages.items())
    ]
    is_below = current is not None and path != current.address_at(lake)
    place = current.label if current else ""
    return Navigation(groups, links_of(OWN_PAGES), place, is_below)


def _page_at(
    pages: Iterable[NavigationPage], lake: Lake, path: str, view_name: str
) -> NavigationPage | None:
    """Return the page that an address belongs to: its own, or the nearest above it."""
    home = reverse("today", args=[lake.slug])
    above: dict[str, NavigationPage] = {}
    for page in pages:
        if view_name in page.covers:
            return page
        address = page.address_at(lake)
        # Every page of a lake lies below its first, which is where one is only on itself.
        if path.startswith(address) and (address != home or path == home):
            above[address] = page
    return above[max(above, key=len)] if above else None
