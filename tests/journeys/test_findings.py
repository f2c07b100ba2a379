"""Findings in the browser: every topic looked at as a machine can, and a figure followed."""

import re

import pypdfium2
import pytest
from django.urls import reverse
from playwright.sync_api import expect

from samples.findings.topics import OFFERED
from samples.models import Fish
from tests.chromium import DESK, PHONE
from tests.findings.conftest import (  # noqa: F401 - fixtures
    entered,
    fished,
    population,
)
from tests.journeys.looks import cut_off_on_paper, faults_of, none_of

pytestmark = pytest.mark.browser

SLUG = "lake-orrinbeck"
# A lake of five arms, each with the longest answer there is.
FIVE_LONG_ANSWERS = """() => {
  const answers = [...document.querySelectorAll('.page-head p')].slice(2);
  const longest = answers.sort((a, b) => b.innerText.length - a.innerText.length)[0];
  for (let more = answers.length; more < 5; more += 1) longest.after(longest.cloneNode(true));
  for (const other of answers.slice(1)) other.innerText = longest.innerText;
}"""


@pytest.fixture
def fish_of_two_arms(population, lake, brindle, vials):  # noqa: F811 - the fixture
    population(brindle)
    population(lake.arms.get(name="Hobbin"), linf=10.0, seed=2)
    fish = Fish.objects.filter(progress=5).first()
    fish.vial = vials[0]
    fish.save()
    return vials[0]


# Where on the screen the dot of a vial lies.
PLACE_OF_DOT = """vial => {
  const data = JSON.parse(document.getElementById('figure-data').textContent);
  for (const [place, panels] of Object.entries(data.dots))
    for (const [at, vials] of panels.entries()) {
      const dot = vials.split(' ').indexOf(vial);
      if (dot < 0) continue;
      const panel = document.querySelectorAll(`[data-figure="${place}"] [data-panel]`)[at];
      const svg = [...panel.querySelectorAll('svg.panel-plot')].find(el => el.checkVisibility());
      const line = svg.querySelector('[data-dots]');
      line.scrollIntoView({ block: 'center' });
      const corner = line.points.getItem(dot).matrixTransform(line.getScreenCTM());
      return [corner.x, corner.y];
    }
}"""


def move_the_limit(page):
    """Move the limit to its largest: the panel says another change than that of the page."""
    slider = page.get_by_label("Move the limit")
    said = page.locator("[data-figure]", has=slider).locator("[data-answer]")
    before = said.inner_text()
    slider.press("End")
    expect(said).not_to_have_text(before)
    assert said.inner_text() in slider.get_attribute("aria-valuetext")


def point_at_the_fish(page, vial):
    """Point at the dot of a vial, read whose it is, and follow it."""
    x, y = page.evaluate(PLACE_OF_DOT, vial)
    page.mouse.move(x, y)
    expect(page.get_by_role("link", name=f"Vial {vial}")).to_be_visible()
    page.get_by_role("link", name=f"Vial {vial}").click()


@pytest.mark.long
@pytest.mark.parametrize("size", [pytest.param(PHONE, id="phone"), pytest.param(DESK, id="desk")])
def test_every_topic(open_page, fish_of_two_arms, biologist, size):
    """Each is looked at in light and dark on one page, as every page is."""
    page = open_page(size, user=biologist, reduced_motion="reduce")
    found = {}
    for topic in OFFERED:
        answer = page.goto(reverse("findings:finding", args=[SLUG, topic]))
        faults = faults_of(page, in_color=size is DESK)
        found[topic] = [*faults, *([] if answer.status == 200 else [answer.status])]
        found[topic] += cut_off_on_paper(page)

    none_of(found)


def test_a_choice_is_made_shared_and_leads_to_a_fish(open_page, fish_of_two_arms, biologist):
    page = open_page(DESK, user=biologist)
    page.goto(reverse("findings:finding", args=[SLUG, "growth"]))

    page.get_by_text("Fish included").click()
    page.get_by_role("checkbox", name="Brindle").check()
    page.get_by_label("Side by side").select_option(label="Sexes")
    page.get_by_role("button", name="Show these fish").click()

    expect(page).to_have_url(re.compile("by=sex.*arm=Brindle"))
    page.get_by_role("link", name="Length at age", exact=True).click()
    expect(page.get_by_role("table")).to_contain_text("Female")
    expect(page).to_have_url(re.compile("arm=Brindle"))

    page.goto(reverse("findings:finding", args=[SLUG, "growth"]))
    point_at_the_fish(page, fish_of_two_arms.number)
    expect(page.get_by_role("heading", level=1)).to_contain_text("26 0001")


@pytest.mark.parametrize("size", [pytest.param(PHONE, id="phone"), pytest.param(DESK, id="desk")])
def test_an_answer_about_a_limit_and_its_page_for_the_public(
    open_page,
    fished,  # noqa: F811 - the fixture
    entered,  # noqa: F811 - the fixture
    biologist,
    size,
    tmp_path,
):
    entered(returned=75)
    page = open_page(size, user=biologist, reduced_motion="reduce")
    page.goto(reverse("findings:finding", args=[SLUG, "length-limit"]))
    expect(page.get_by_role("heading", level=1)).to_contain_text("could help in Brindle")
    answer = [*faults_of(page), *cut_off_on_paper(page)]
    move_the_limit(page)

    page.get_by_label("Limit", exact=True).fill("9.5")
    page.get_by_role("button", name="Compare limits").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("9.5 in limit")
    page.get_by_role("link", name="One page for the public").click()
    expect(page.get_by_text("what a limit of 9.5 in would do")).to_be_visible()
    none_of({"answer": answer, "public": faults_of(page)})

    page.evaluate(FIVE_LONG_ANSWERS)
    for paper in ("Letter", "A4"):
        page.pdf(path=tmp_path / "public.pdf", prefer_css_page_size=True, format=paper)
        printed = pypdfium2.PdfDocument(tmp_path / "public.pdf")
        assert len(printed) == 1
        assert str(biologist) not in printed[0].get_textpage().get_text_range()
