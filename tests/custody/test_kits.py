"""Kits: the card and the slips that go out."""

import io
from datetime import date
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from samples.custody.pdf import KitCard, kit_card_pdf, slips_pdf
from samples.custody.presenters.kits import needed_lines
from samples.models import Lake, PersonalLink, Season, SecurityEvent, Vial
from tests.people import NOW, make_person
from tests.shown import message_tags
from tests.vials.numbers import number

DOTS_PER_INCH = 300


def card(**facts):
    usual: dict[str, Any] = {
        "lake": "Lake Orrinbeck",
        "season": "2026",
        "person": "R. Ostrow",
        "vials": ("26 0001 8 to 26 0030 4",),
        "count": 30,
    }
    return KitCard(**usual | facts)


def _season_before(season):
    """Make the season of the year before."""
    return Season.objects.create(
        lake=season.lake,
        name="2025",
        starts_on=season.starts_on.replace(year=2025),
        ends_on=season.ends_on.replace(year=2025),
        number_year=2025,
    )


def pages_of(pdf):
    return list(pypdfium2.PdfDocument(io.BytesIO(pdf)))


def text_of(pdf):
    """Return the words of a PDF as one line: where it breaks a line is no matter."""
    whole = " ".join(page.get_textpage().get_text_bounded() for page in pages_of(pdf))
    return " ".join(whole.split())


def symbols_on(pdf):
    """Return what an independent reader reads off the printed pages."""
    pictures = [
        page.render(scale=DOTS_PER_INCH / 72).to_pil().convert("L") for page in pages_of(pdf)
    ]
    return [found.text for picture in pictures for found in zxingcpp.read_barcodes(picture)]


class TestCard:
    @pytest.mark.parametrize("paper", ["letter", "a4", "a6"])
    def test_its_symbol_is_read_back_and_signs_in(
        self, desk, client, lake, season, kit, guide, settings, paper
    ):
        settings.PUBLIC_ADDRESS = "https://earstone.example"
        Lake.objects.update(office_phone="555 0134")
        season.carcass_note = "Into the bin at the ramp"
        season.possession_reminder = "30 crappie in possession"
        season.save()
        address = reverse("custody:card_pdf", args=[lake.slug, guide.pk])

        response = desk.post(address, {"paper": paper, "link": "on"})

        [link] = symbols_on(response.content)
        token = link.removeprefix("https://earstone.example")
        assert desk.get(token).status_code == 200
        assert PersonalLink.objects.get().person == guide
        assert SecurityEvent.objects.filter(kind="link_made").count() == 1
        assert "no-store" in response["Cache-Control"]
        words = text_of(response.content)
        for part in ("R. Ostrow", "26 0002 6 to 26 0005 9", "555 0134", "SC-26-014"):
            assert part in words
        for part in (season.carcass_note, season.possession_reminder):
            assert part in words

    def test_it_is_of_the_season_of_the_list_and_older_vials_are_told_apart(
        self, desk, lake, season, kit, guide, page
    ):
        Vial.objects.filter(pk=kit[4].pk).update(season=_season_before(season))

        shown = desk.get(page, {"season": season.pk})
        address = reverse("custody:card_pdf", args=[lake.slug, guide.pk])
        printed = desk.post(address, {"paper": "a6", "season": season.pk})

        assert (shown.context["hand"].count, shown.context["older"]) == (3, 1)
        words = text_of(printed.content)
        assert "26 0002 6 to 26 0004 2" in words
        assert "26 0005 9" not in words
        assert 'filename="kit-card-r-ostrow.pdf"' in printed["Content-Disposition"]

    def test_a_permit_that_ran_out_is_told_before_and_on_the_card(
        self, desk, lake, season, kit, guide, page
    ):
        season.permit_until = date(2024, 1, 15)
        season.save()

        shown = desk.get(page, {"season": season.pk})
        address = reverse("custody:card_pdf", args=[lake.slug, guide.pk])
        words = text_of(desk.post(address, {"paper": "a6", "season": season.pk}).content)

        assert shown.context["expired"] == season.permit_until
        assert "EXPIRED" in words
        assert "good through" not in words

    def test_one_who_has_a_password_gets_a_card_without_a_link(self, desk, lake, vials, clerk):
        clerk.set_password("at the boat ramp")
        clerk.save()
        Vial.objects.filter(pk=vials[0].pk).update(state="issued", issued_to=clerk, issued_at=NOW)
        address = reverse("custody:card_pdf", args=[lake.slug, clerk.pk])

        response = desk.post(address, {"paper": "a6", "link": "on"})

        assert symbols_on(response.content) == []
        assert "password" in text_of(response.content)
        assert not PersonalLink.objects.exists()

    def test_a_card_is_no_link_unless_it_is_asked_for(self, desk, lake, kit, guide):
        card = desk.post(reverse("custody:card_pdf", args=[lake.slug, guide.pk]), {"paper": "a6"})

        assert not PersonalLink.objects.exists()
        # A guide opens the link that they have; none of them was ever given a password.
        assert "password" not in text_of(card.content)

    def test_a_guide_of_another_lake_who_holds_vials_here_gets_no_link_here(
        self, desk, lake, vials, other_lake
    ):
        stranger = make_person(other_lake, "guide", "Q. Elsewhere")
        Vial.objects.filter(pk=vials[0].pk).update(
            state="issued", issued_to=stranger, issued_at=NOW
        )
        args = [lake.slug, stranger.pk]

        shown = desk.get(reverse("custody:holder", args=args))
        response = desk.post(reverse("custody:card_pdf", args=args), {"paper": "a6", "link": "on"})

        assert shown.context["may_link"] is False
        assert shown.context["reason"]
        assert symbols_on(response.content) == []
        assert not PersonalLink.objects.exists()

    def test_a_second_link_is_not_offered_while_one_works(
        self, desk, lake, page, kit, guide, biologist
    ):
        def is_ticked():
            return desk.get(page).context["card_form"]["link"].value()

        assert is_ticked() is True

        address = reverse("custody:card_pdf", args=[lake.slug, guide.pk])
        desk.post(address, {"paper": "a6", "link": "on"})
        assert is_ticked() is False

        PersonalLink.objects.update(revoked_at=NOW)
        assert is_ticked() is True

    def test_a_second_tap_gives_the_same_link_until_it_is_revoked(
        self, desk, lake, page, kit, guide
    ):
        asked = {"paper": "a6", "link": "on"}
        form = desk.get(page).context["card_form"]
        address = reverse("custody:card_pdf", args=[lake.slug, guide.pk])

        asked["request_id"] = str(form["request_id"].value())
        first, second = (symbols_on(desk.post(address, asked).content) for _ in range(2))
        assert first == second != []
        assert PersonalLink.objects.count() == 1
        assert SecurityEvent.objects.filter(kind="link_made").count() == 1

        PersonalLink.objects.update(revoked_at=NOW)
        assert message_tags(desk.post(address, asked, follow=True)) == ["revoked error"]

    def test_a_card_that_cannot_be_drawn_leaves_no_link(self, desk, lake, kit, guide, monkeypatch):
        def fail(*args):
            raise OSError

        monkeypatch.setattr("samples.custody.views.kits.pdf.kit_card_pdf", fail)
        with pytest.raises(OSError):  # noqa: PT011 - whatever the drawing raises
            desk.post(
                reverse("custody:card_pdf", args=[lake.slug, guide.pk]),
                {"paper": "a6", "link": "on"},
            )

        assert not PersonalLink.objects.exists()

    @pytest.mark.parametrize("name", ["card_pdf", "slips_pdf"])
    def test_without_vials_there_is_nothing_to_print(self, desk, lake, guide, name):
        address = reverse(f"custody:{name}", args=[lake.slug, guide.pk])

        ask = desk.post if name == "card_pdf" else desk.get
        shown = ask(address, {"paper": "a6"}, follow=True)

        assert message_tags(shown) == [f"no_{name.removesuffix('_pdf')} error"]

    @pytest.mark.parametrize("paper", ["letter", "a4", "a6"])
    def test_however_much_is_needed_the_cautions_stay_on_it(self, paper):
        long = tuple(f"Arm {n}: white crappie 8 to 11.9 in ({n}) of many" for n in range(60))

        words = text_of(kit_card_pdf(card(needed=long, office_phone="555 0134"), paper))

        assert "Arm 0" in words
        assert "Arm 59" not in words
        assert "555 0134" in words
        for caution in card().notes:
            assert caution in words

    @pytest.mark.parametrize("paper", ["letter", "a4", "a6"])
    def test_nothing_is_drawn_outside_the_paper(self, paper):
        name = "A very long name of a person " * 6
        many = tuple(f"26 {n:04d} 1 to 26 {n + 3:04d} 4" for n in range(1, 90, 4))
        drawn = kit_card_pdf(
            card(person=name, lake=name, vials=many, link="https://earstone.example/a" * 5), paper
        )

        for page in pages_of(drawn):
            picture = page.render(scale=2).to_pil().convert("L")
            inside = picture.crop((6, 6, picture.width - 6, picture.height - 6))
            edge = picture.copy()
            edge.paste(255, (6, 6, picture.width - 6, picture.height - 6))
            assert inside.getextrema()[0] == 0
            assert edge.getextrema() == (255, 255)

    def test_needed_fish_are_told_by_arm_in_a_guides_words(self):
        arms: list[Any] = [
            {
                "arm": "Brindle",
                "species": [
                    {
                        "species": "White crappie",
                        "needed": [{"lengths": "Under 8 in", "more": 4}],
                        "enough": [],
                    }
                ],
            },
            {"arm": "Hobbin", "species": [{"species": "x", "needed": [], "enough": ["all"]}]},
        ]

        [line] = needed_lines(arms)

        assert set(line.rstrip(".").split()) >= {"Brindle:", "crappie", "under", "8", "(4)"}


class TestSlips:
    def test_one_for_each_unused_vial(self, desk, lake, kit, guide):
        response = desk.get(reverse("custody:slips_pdf", args=[lake.slug, guide.pk]))

        words = text_of(response.content)
        assert "26 0001 8" not in words
        for place in range(2, 6):
            assert f"26 {place:04d} {number(place)[-1]}" in words

    def test_a_range_is_chosen_and_each_shows_the_year_of_its_number(self, desk, lake, kit, guide):
        ends = {"first": number(3), "last": number(4)}
        some = desk.get(reverse("custody:slips_pdf", args=[lake.slug, guide.pk]), ends)

        words = text_of(some.content)
        assert [place for place in range(2, 6) if f"26 {place:04d}" in words] == [3, 4]
        assert "Orrinbeck, 2024" in text_of(slips_pdf("Lake Orrinbeck", ["24 0634 7"]))

    def test_a_range_that_cannot_be_read_is_none_and_never_all(self, desk, lake, kit, guide):
        address = reverse("custody:slips_pdf", args=[lake.slug, guide.pk])

        for ends in ({"first": "x", "last": number(4)}, {"first": number(3)}):
            assert message_tags(desk.get(address, ends, follow=True)) == ["no_slips error"]

    def test_all_of_a_season_are_printed_at_once(self, desk, lake, season, kit, guide):
        Vial.objects.filter(pk=kit[2].pk).update(state="used")
        Vial.objects.filter(pk=kit[4].pk).update(season=_season_before(season))
        address = reverse("custody:slips_pdf", args=[lake.slug, guide.pk])

        words = text_of(desk.get(address, {"season": season.pk}).content)

        assert [place for place in range(1, 6) if f"26 {place:04d}" in words] == [2, 4]

    def test_sixty_are_one_sheet(self):
        numbers = [f"26 {place:04d} 1" for place in range(61)]

        assert len(pages_of(slips_pdf("Lake Orrinbeck", numbers[:60]))) == 1
        assert len(pages_of(slips_pdf("Lake Orrinbeck", numbers))) == 2


def test_a_person_of_another_lake_has_no_kit_here(desk, lake, stranger):
    assert desk.get(reverse("custody:holder", args=[lake.slug, stranger.pk])).status_code == 404
