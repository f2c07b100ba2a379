"""Kits: who holds what, the card and the slips that go out, and vials that change hands."""

import io
from datetime import date, timedelta
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from samples.accounts.links import make_link
from samples.custody import queries, services
from samples.custody.pdf import KitCard, kit_card_pdf, slips_pdf
from samples.custody.presenters.kits import needed_lines
from samples.models import Lake, PersonalLink, Season, SecurityEvent, Vial
from tests.factories import make_fish
from tests.people import CAUGHT_ON, NOW, make_person
from tests.shown import error_codes, message_tags
from tests.vials.numbers import number

DOTS_PER_INCH = 300


@pytest.fixture
def kit(vials, guide):
    """Return five vials in the guide's hands, the first of them used."""
    for vial in vials[:5]:
        vial.state, vial.issued_to = Vial.State.ISSUED, guide
        vial.issued_at = NOW - timedelta(days=9)
        vial.save()
    Vial.objects.filter(pk=vials[0].pk).update(state="used")
    return vials[:5]


@pytest.fixture
def page(lake, guide):
    return reverse("custody:holder", args=[lake.slug, guide.pk])


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


class TestWhoHoldsWhat:
    def test_counts_used_unused_and_lost_of_each_person(
        self, lake, season, kit, guide, party, white
    ):
        Vial.objects.filter(pk=kit[1].pk).update(state="lost")
        make_fish(party, white, vial=kit[0], received_at=NOW)

        [holder] = queries.holders(lake, season, CAUGHT_ON)

        assert (holder.person_id, holder.name) == (guide.pk, "R. Ostrow")
        assert (holder.issued, holder.used, holder.unused, holder.lost) == (5, 1, 3, 1)
        assert (holder.since, holder.days) == (CAUGHT_ON - timedelta(days=9), 9)
        assert holder.seen_at == NOW

    def test_a_void_vial_is_not_counted_as_used(self, lake, season, kit):
        Vial.objects.filter(pk=kit[1].pk).update(state="void")

        [holder] = queries.holders(lake, season, CAUGHT_ON)

        assert (holder.issued, holder.used, holder.unused) == (4, 1, 3)

    def test_is_told_by_season(self, desk, lake, season, kit):
        address = reverse("custody:kits", args=[lake.slug])

        shown = desk.get(address, {"season": season.pk})
        wrong = desk.get(address, {"season": "999999"})

        assert [one.unused for one in shown.context["holders"]] == [4]
        assert (wrong.status_code, error_codes(wrong)) == (422, {"season": ["invalid_choice"]})

    @pytest.mark.parametrize("many", [1, 8])
    def test_asks_no_more_for_more_people(
        self, desk, lake, season, vials, django_assert_max_num_queries, make_guide, many
    ):
        for vial in vials[:many]:
            person = make_guide()
            Vial.objects.filter(pk=vial.pk).update(state="issued", issued_to=person, issued_at=NOW)

        with django_assert_max_num_queries(14):
            shown = desk.get(reverse("custody:kits", args=[lake.slug]))
        assert len(shown.context["holders"]) == many


class TestHands:
    def test_nothing_is_filled_in_unasked(self, desk, page, kit):
        untouched = desk.get(page).context["form"]
        pointed = desk.get(page, {"first": number(2)}).context["form"]

        assert [untouched[name].value() for name in ("first", "last", "what")] == [None] * 3
        assert untouched.fields["what"].choices[0][0] == ""
        assert pointed["first"].value() == "26 0002 6"

    def change(self, desk, page, **asked):
        usual = {"first": number(2), "last": number(5), "to": "", "note": ""}
        return desk.post(page, usual | asked, follow=True)

    def test_unused_vials_come_back_and_the_used_one_stays(self, desk, page, kit):
        shown = self.change(desk, page, what="back", first=number(1))

        assert message_tags(shown) == ["success"]
        states = Vial.objects.filter(pk__in=[vial.pk for vial in kit]).order_by("number")
        assert list(states.values_list("state", flat=True)) == ["used", *["printed"] * 4]

    def test_they_are_passed_on_after_a_question(self, desk, page, kit, second_guide, office):
        asked = {"what": "pass", "to": second_guide.pk}

        shown = self.change(desk, page, **asked)
        assert shown.context["question"]
        assert not Vial.objects.filter(issued_to=second_guide).exists()

        self.change(desk, page, sure="1", **asked)
        passed = Vial.objects.filter(issued_to=second_guide)
        assert passed.count() == 4
        assert passed[0].history.first().history_user == office

    def test_they_are_lost_after_a_question_and_can_be_found_again(self, desk, page, lake, kit):
        asked = {"what": "lost", "note": "Overboard"}

        question = self.change(desk, page, first=number(1), **asked).context["question"]
        assert question == [number(place) for place in range(2, 6)]
        self.change(desk, page, sure="1", **asked)

        lost = Vial.objects.filter(state="lost")
        assert lost.count() == 4
        assert {vial.note for vial in lost} == {"Overboard"}
        found = reverse("vials:mark", args=[lake.slug, number(2)])
        desk.post(found, {"what": "back"})
        assert Vial.objects.get(number=number(2)).state == "issued"

    @pytest.mark.parametrize(
        ("changed", "field", "code"),
        [
            ({"what": ""}, "what", "required"),
            ({"what": "pass"}, "to", "required"),
            ({"what": "pass", "to": "999999"}, "to", "invalid_choice"),
            ({"what": "back", "first": "26 0001 9"}, "first", "wrong_check_digit"),
            ({"what": "back", "last": number(1)}, "last", "backwards"),
            ({"what": "back", "last": number(900)}, "last", "unknown"),
            ({"what": "back", "first": number(7), "last": number(8)}, "first", "not_in_hands"),
            ({"what": "lost", "first": number(7), "last": number(8)}, "first", "not_in_hands"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, desk, page, kit, changed, field, code):
        shown = self.change(desk, page, **changed)

        assert shown.status_code == 422
        assert error_codes(shown) == {field: [code]}
        assert Vial.objects.filter(state="issued").count() == 4

    def test_nobody_passes_on_to_oneself_or_to_somebody_who_logs_no_fish(
        self, lake, kit, guide, reader, office
    ):
        asked = {"lake": lake, "holder": guide, "first": number(2), "last": number(3)}

        for to, code in ((guide, "same_person"), (reader, "not_logging")):
            with pytest.raises(services.CannotChangeHands) as refused:
                services.pass_on(to=to, actor=office, now=NOW, **asked)
            assert refused.value.code == code


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
        assert not PersonalLink.objects.exists()

    def test_a_card_is_no_link_unless_it_is_asked_for(self, desk, lake, kit, guide):
        desk.post(reverse("custody:card_pdf", args=[lake.slug, guide.pk]), {"paper": "a6"})

        assert not PersonalLink.objects.exists()

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

    def test_sixty_are_one_sheet(self):
        numbers = [f"26 {place:04d} 1" for place in range(61)]

        assert len(pages_of(slips_pdf("Lake Orrinbeck", numbers[:60]))) == 1
        assert len(pages_of(slips_pdf("Lake Orrinbeck", numbers))) == 2


def test_a_person_of_another_lake_has_no_kit_here(desk, lake, stranger):
    assert desk.get(reverse("custody:holder", args=[lake.slug, stranger.pk])).status_code == 404


def test_the_last_use_of_a_link_or_a_phone_is_a_sign_of_life(lake, season, kit, guide, biologist):
    made = make_link(guide, made_by=biologist, good_until=CAUGHT_ON, now=NOW)
    made.link.last_used_at = NOW + timedelta(hours=2)
    made.link.save()

    [holder] = queries.holders(lake, season, CAUGHT_ON)

    assert holder.seen_at == NOW + timedelta(hours=2)
