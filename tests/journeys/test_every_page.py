"""Every page of the site as a machine can judge it: at both sizes, in every scheme."""

from datetime import timedelta

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.urls import reverse
from django.utils.http import urlsafe_base64_encode

from samples.accounts.links import make_link
from samples.models import Fish, Party
from tests.chromium import DESK, PHONE, PHONE_WITHOUT_APP
from tests.doors import ADMINISTRATOR, AT_LAKE, OF_A_PERSON, address_of
from tests.journeys.hands import choose, press, sees, write
from tests.journeys.looks import faults_of, faults_on_paper, none_of
from tests.journeys.reach import faults_when_large
from tests.people import NOW

pytestmark = pytest.mark.browser

SIZES = [pytest.param(PHONE_WITHOUT_APP, id="phone"), pytest.param(DESK, id="desk")]
SLUG = "lake-orrinbeck"
MANY = 6
ONLY_SENT_TO = ["only sent to"]
NOT_ALLOWED = 405
EMPTY_AT_FIRST = [
    "today",
    "ramp:held",
    "ramp:paste",
    "lab:grid",
    "lab:settle",
    "seasons:progress",
    "seasons:plan",
    "targets:coverage",
    "targets:fish",
    "targets:targets",
    "findings:findings",
    "reports:reports",
    "vials:labels",
    "vials:issue",
    "vials:receive",
    "vials:find",
    "custody:trays",
    "pictures:pictures",
    "pictures:confirm",
    "pictures:scales",
    "custody:archive",
    "custody:kits",
]
# Not pages: files to be saved, and what a script asks for.
FILES = {
    "asks:poster",
    "nets:sheet",
    "asks:feed",
    "custody:index_pdf",
    "custody:map_pdf",
    "custody:slips_pdf",
    "donors:card",
    "donors:certificate",
    "donors:own_card",
    "donors:own_certificate",
    "donors:own_picture",
    "findings:computation",
    "findings:figure",
    "findings:table",
    "lab:profile",
    "lab:session_age",
    "pictures:copy",
    "pictures:original",
    "pictures:thumbnail",
    "pictures:tile",
    "pictures:tiles",
    "ramp:photo",
    "reports:draft_file",
    "seasons:weeks_csv",
    "targets:coverage_csv",
    "targets:fish_csv",
    "targets:fish_xlsx",
    "vials:picture",
    "vials:print_pdf",
    "vials:print_status",
    "vials:run_pdf",
    "vials:stock_picture",
    "vials:test_page",
}
# Pages at a lake that stand in the frame of the ramp: looked at by those who have it.
AT_THE_RAMP = {"donors:own_mail"}


def look_at(page, address, *, status=200, in_color=True):
    """Return what is wrong with a page; nothing is there to see where things are only sent to."""
    answer = page.goto(address)
    if answer.status == NOT_ALLOWED:
        return ONLY_SENT_TO
    found = faults_of(page, in_color=in_color)
    if page.viewport_size == DESK["viewport"] and page.locator("header.shell").count():
        # Nobody prints from a phone; the office prints what the desk shows.
        found += faults_on_paper(page) + faults_when_large(page)
    return found if answer.status == status else [f"answered {answer.status}", *found]


def look_at_all(page, addresses, **more):
    found = {name: look_at(page, at, **more) for name, at in addresses.items()}
    seen = {name: faults for name, faults in found.items() if faults is not ONLY_SENT_TO}
    assert len(seen) > MANY
    none_of(seen)


def pages_at_lake(things):
    return {
        name: address_of(name, names, things, SLUG)
        for name, allowed, names in AT_LAKE
        if name not in FILES | AT_THE_RAMP and allowed != ADMINISTRATOR
    }


def calm(open_page, size, **more):
    return open_page(size, reduced_motion="reduce", **more)


@pytest.mark.long
@pytest.mark.parametrize("size", SIZES)
def test_pages_of_a_lake(open_page, busy, biologist, size):
    page = calm(open_page, size, user=biologist)

    pages = pages_at_lake(busy) | {"today:lakes": reverse("today:lakes")}
    look_at_all(page, pages, in_color=size is DESK)


def test_pages_of_a_lake_where_nothing_has_happened(open_page, lake, season, biologist):
    biologist.is_superuser = True
    biologist.save()
    page = calm(open_page, PHONE, user=biologist)
    pages = {name: reverse(name, args=[SLUG]) for name in EMPTY_AT_FIRST}
    pages["waters:add_lake"] = reverse("waters:add_lake")

    look_at_all(page, pages)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("role", ["guide", "clerk"])
def test_pages_of_the_ramp(open_page, request, things, role, size):
    person = request.getfixturevalue(role)
    Fish.objects.update(logged_by=person)
    Party.objects.update(opened_by=person)
    page = calm(open_page, size, user=person)
    pages = {
        name: address_of(name, names, things)
        for name, allowed, names in OF_A_PERSON
        if role in allowed and name not in FILES
    }
    pages |= {name: reverse(name, args=[SLUG]) for name in AT_THE_RAMP}
    pages["ramp:vial_link"] = reverse("ramp:vial_link", args=[things["number"]])

    look_at_all(page, pages, in_color=size is DESK)


@pytest.mark.parametrize("size", SIZES)
def test_pages_for_anybody(open_page, guide, biologist, vials, size):
    page = calm(open_page, size)
    day = NOW.date()
    links = [
        make_link(guide, made_by=biologist, good_until=day + timedelta(days), now=NOW).token
        for days in (1, -1)
    ]
    args = [
        urlsafe_base64_encode(str(guide.pk).encode()),
        default_token_generator.make_token(guide),
    ]
    password_link = reverse("accounts:password_by_link", args=args)
    this_is_me, too_late = (reverse("accounts:this_is_me", args=[token]) for token in links)
    found = {
        "sign in": look_at(page, reverse("accounts:sign_in")),
        "lost password": look_at(page, reverse("accounts:lost_password")),
        "signed out": look_at(page, reverse("accounts:signed_out_everywhere")),
        "password link": look_at(page, password_link),
        "used password link": look_at(page, f"{password_link[:-2]}/", status=410),
        "this is me": look_at(page, this_is_me),
        "link refused": look_at(page, too_late, status=410),
        "vial link": look_at(page, reverse("ramp:vial_link", args=[vials[0].number])),
        "no such page": look_at(page, "/nowhere/", status=404),
    }

    none_of(found)


@pytest.mark.parametrize("size", SIZES)
def test_pages_that_are_not_for_them(open_page, lake, other_lake, reader, stranger, size):
    page = calm(open_page, size, user=reader)

    assert look_at(page, f"/lakes/{SLUG}/held/", status=403) == []
    assert look_at(page, "/lakes/tamsin-reservoir/", status=404) == []


@pytest.mark.parametrize("size", SIZES)
def test_pages_in_other_states(open_page, busy, biologist, size):
    page = calm(open_page, size, user=biologist)
    find = reverse("vials:find", args=[SLUG])
    mark = reverse("vials:mark", args=[SLUG, busy["number"]])
    found = {
        "a vial to void": look_at(page, f"{mark}?what=void"),
        "search": look_at(page, reverse("search:search", args=[SLUG]) + "?q=3"),
        "several vials": look_at(page, f"{find}?number=3"),
        "lengths shown": look_at(page, reverse("lab:grid", args=[SLUG]) + "?length=shown"),
        "fish of a cell": look_at(page, reverse("targets:fish", args=[SLUG]) + "?count=aged"),
        "rule of thumb": look_at(page, reverse("targets:targets", args=[SLUG]) + "?start=rule"),
    }
    # The checks themselves leave traces on a page.
    page.reload()
    page.locator("[data-fold] > summary:visible").click()
    found["menu"] = faults_of(page)
    page.goto(reverse("accounts:person", args=[SLUG, busy["person"]]))
    press(page, "Make a link")
    sees(page, "New link, shown only once")
    found["fresh link"] = faults_of(page)

    none_of(found)


def test_questions_of_the_ramp(open_page, things, guide):
    page = calm(open_page, PHONE_WITHOUT_APP, user=guide)
    found = {}

    page.goto(reverse("ramp:log"))
    press(page, "Spines?")
    found["spines"] = faults_of(page)
    press(page, "Back to the form")
    choose(page, "Species", "White crappie")
    write(page, "Total length", "94")
    choose(page, "Sex", "Not known")
    press(page, "Save fish")
    sees(page, "Is this 9.4 inches?")
    found["slip"] = faults_of(page)
    page.goto(reverse("ramp:change_party"))
    page.get_by_label("Arm").select_option("Cutbank")
    press(page, "Save the change")
    sees(page, "Cutbank instead of Brindle?")
    found["arm"] = faults_of(page)
    page.goto(reverse("ramp:close_party"))
    write(page, "Filled vials", "7")
    press(page, "End trip")
    sees(page, "7 in hand")
    found["count"] = faults_of(page)

    none_of(found)


# The page, and the button that sends its form with nothing or nonsense in it.
AT_LAKE_WRONG = [
    ("accounts:people", "Add person"),
    ("accounts:person", "Make a link"),
    ("waters:edit_lake", "Save"),
    ("waters:arms", "Add"),
    ("waters:add_species", "Save"),
    ("waters:add_season", "Save"),
    ("waters:add_regulation", "Save"),
    ("ramp:held_entry", "Save fish with this trip"),
    ("lab:vial", "Save reading"),
    ("lab:decide", "Save decision"),
    ("lab:prepare", "Add preparation"),
    ("targets:targets", "Save targets"),
    ("vials:labels", "Preview sheets"),
    ("vials:issue", "Issue vials"),
    ("vials:find", "Find vial"),
]
RAMP_WRONG = [
    ("ramp:log", "Save fish"),
    ("ramp:open_party", "Start interview"),
    ("ramp:change_party", "Save the change"),
    ("ramp:close_party", "End trip"),
    ("ramp:shift", "Move them"),
    ("ramp:count", "Save the count"),
    ("ramp:correct", "Save correction"),
]

# Numbers become nonsense, words are left out, and everything that is chosen is taken back.
SPOIL = r"""form => {
  for (const el of form.elements) {
    if (el.type === 'hidden') continue;
    if (el.type === 'radio') el.checked = false;
    else if (el.tagName === 'SELECT') el.selectedIndex = -1;
    else if (el.tagName === 'INPUT' && el.type !== 'checkbox') el.value = el.inputMode ? '?' : '';
  }
}"""


def send_nonsense(page, address, button, *, in_color=True):
    page.goto(address)
    pressed = page.get_by_role("button", name=button, exact=True)
    form = pressed.locator("xpath=ancestor::form")
    form.evaluate(SPOIL)
    with page.expect_navigation() as sent:
        pressed.click()
    found = faults_of(page, in_color=in_color)
    if sent.value.status != 422:
        found.append(f"answered {sent.value.status}")
    if page.locator(".errors, .field-error").count() == 0:
        found.append("says nothing")
    return found


def test_what_the_ramp_says_to_nonsense(open_page, things, clerk):
    Fish.objects.update(logged_by=clerk)
    Party.objects.update(opened_by=clerk)
    page = calm(open_page, PHONE_WITHOUT_APP, user=clerk)
    named = {name: names for name, _, names in OF_A_PERSON}
    found = {
        name: send_nonsense(page, address_of(name, named[name], things), button)
        for name, button in RAMP_WRONG
    }

    none_of(found)


@pytest.mark.long
@pytest.mark.parametrize("size", SIZES)
def test_what_the_lakes_pages_say_to_nonsense(open_page, busy, biologist, size):
    page = calm(open_page, size, user=biologist)
    named = {name: names for name, _, names in AT_LAKE}
    found = {
        f"{name}, {button}": send_nonsense(
            page, address_of(name, named[name], busy, SLUG), button, in_color=size is DESK
        )
        for name, button in AT_LAKE_WRONG
    }

    none_of(found)
