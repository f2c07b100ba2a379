"""Pages of labels, as the office uses them."""

import uuid

import pypdfium2
import pytest

from samples.models import LabelRun, NumberYear, User
from samples.rules import vial_number
from tests.shown import error_codes, message_tags
from tests.vials.numbers import SHEET, number
from tests.vials.pages import assert_refused_at, page_of, url


def words(**changed):
    return {
        "count": "3",
        "stock": SHEET,
        "first_position": "23",
        "request_id": str(uuid.uuid4()),
    } | changed


class TestLabels:
    def test_shows_the_sheets_before_anything_is_taken(self, desk_of_office, lake, season):
        asked = words(season=season.pk, count="70")

        page = page_of(desk_of_office.post(url("labels", lake), asked | {"see": "1"}))

        assert "2 sheets" in page
        assert f"{vial_number.grouped(number(70))}</span>" in page
        assert "Make 70 labels" in page
        assert not LabelRun.objects.exists()

    def test_marks_the_count_when_more_is_previewed_than_is_left(
        self, desk_of_office, lake, season
    ):
        NumberYear.objects.create(year=season.number_year, last_sequence=9_997)

        page = desk_of_office.post(url("labels", lake), words(season=season.pk) | {"see": "1"})

        assert error_codes(page) == {"count": ["used_up"]}

    def test_makes_the_run_and_leads_to_its_pdf(self, desk_of_office, lake, season):
        asked = words(season=season.pk)

        first, second = (desk_of_office.post(url("labels", lake), asked) for _ in range(2))

        run = LabelRun.objects.get()
        assert first.url == second.url == url("run", lake, run.pk)
        assert url("run_pdf", lake, run.pk) in page_of(desk_of_office.get(first.url))

    @pytest.mark.parametrize(
        ("changed", "code"),
        [
            ({"count": "0"}, "too_many"),
            ({"count": "20000"}, "too_many"),
            ({"count": "a lot"}, "invalid"),
            ({"first_position": "86"}, "off_the_sheet"),
            ({"stock": "of-another-year"}, "invalid_choice"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, desk_of_office, lake, season, changed, code):
        asked = words(season=season.pk, **changed)

        response = desk_of_office.post(url("labels", lake), asked)

        assert_refused_at(response, next(iter(changed)), code)
        assert asked["request_id"] in page_of(response)
        if "stock" not in changed:
            assert f'value="{next(iter(changed.values()))}"' in page_of(response)
        assert not LabelRun.objects.exists()

    def test_another_lakes_season_is_not_to_be_had(self, desk_of_office, lake, other_lake):
        response = desk_of_office.post(
            url("labels", lake), words(season=other_lake.seasons.get().pk)
        )

        assert_refused_at(response, "season", "invalid_choice")

    def test_warns_that_no_symbol_is_printed(self, desk_of_office, lake, season, settings):
        settings.PUBLIC_ADDRESS = ""
        assert "number only" in page_of(desk_of_office.get(url("labels", lake)))
        settings.PUBLIC_ADDRESS = "https://fish.example/samples"
        assert "number only" in page_of(desk_of_office.get(url("labels", lake)))

        settings.PUBLIC_ADDRESS = "https://fish.example"
        page = page_of(desk_of_office.get(url("labels", lake)))
        assert "number only" not in page
        assert "with its QR code" in page

    def test_a_lake_without_a_season_says_what_to_do_first(self, desk_of_office, lake, season):
        season.delete()

        page = page_of(desk_of_office.get(url("labels", lake)))
        assert 'class="empty"' in page
        assert 'name="count"' not in page

    def test_the_width_is_set_before_the_first_run_only(
        self, desk_of_office, lake, season, make_run
    ):
        address = url("digits", lake, 2026)
        assert desk_of_office.post(address, {"digits": "5"}).status_code == 403
        User.objects.filter(username="j-pell").update(is_superuser=True)
        desk_of_office.post(address, {"digits": "5"})
        assert "26 00001 " in page_of(desk_of_office.get(url("labels", lake)))

        make_run()
        answer = desk_of_office.post(address, {"digits": "4"}, follow=True)

        assert message_tags(answer)[-1].endswith("error")
        assert NumberYear.objects.get().digits == 5

    @pytest.mark.parametrize("many", [1, 50])
    def test_asks_no_more_for_more_runs(
        self, desk_of_office, lake, make_run, django_assert_max_num_queries, many
    ):
        for _ in range(many):
            make_run(count=1)

        with django_assert_max_num_queries(21):
            page = page_of(desk_of_office.get(url("labels", lake)))
        assert page.count("labels/runs/") == many


class TestPrinter:
    def test_keeps_tenths_however_they_are_typed(self, desk_of_office, lake, season):
        typed = {"right": "0,3 mm", "down": "\u22120.5", "across": "100.5%", "along": "100"}

        desk_of_office.post(url("printer", lake, SHEET), typed)

        printer = lake.printers.get()
        assert (printer.right_tenths_mm, printer.down_tenths_mm) == (3, -5)
        assert (printer.scale_across_per_mille, printer.scale_down_per_mille) == (1005, 1000)
        assert 'value="-0.5"' in page_of(desk_of_office.get(url("labels", lake)))

    @pytest.mark.parametrize("typed", ["a little", "0.35", "40", "", "-"])
    def test_refuses_what_is_no_tenth(self, desk_of_office, lake, season, typed):
        asked = {"right": typed, "down": "0", "across": "100", "along": "100"}

        response = desk_of_office.post(url("printer", lake, SHEET), asked)

        [codes] = error_codes(response).values()
        assert len(codes) == 1
        assert_refused_at(response, "right", codes[0])

    def test_refuses_a_stretch_of_which_the_point_was_left_out(self, desk_of_office, lake, season):
        asked = {"right": "0", "down": "0", "across": "1000", "along": "100.00"}

        response = desk_of_office.post(url("printer", lake, SHEET), asked)

        assert_refused_at(response, "across", "no_tenth")

    def test_gives_the_test_page(self, desk_of_office, lake, season):
        answer = desk_of_office.get(url("test_page", lake, SHEET))

        assert len(pypdfium2.PdfDocument(b"".join(answer.streaming_content))) == 1

    def test_an_unknown_stock_has_no_page(self, desk_of_office, lake):
        assert desk_of_office.get(url("printer", lake, "of-another-year")).status_code == 404


def text_of(answer):
    document = pypdfium2.PdfDocument(b"".join(answer.streaming_content))
    return [document[page].get_textpage().get_text_range() for page in range(len(document))]


class TestRun:
    def test_prints_the_whole_run_from_its_position(self, desk_of_office, lake, make_run):
        run = make_run(count=3, first_position=84)

        pages = text_of(desk_of_office.get(url("run_pdf", lake, run.pk)))

        assert len(pages) == 2
        assert vial_number.grouped(number(2)) in pages[0]
        assert vial_number.grouped(number(3)) in pages[1]

    def test_makes_spoiled_numbers_void(self, desk_of_office, lake, make_run):
        run = make_run(count=3)
        asked = {"void_first": number(2), "void_last": number(3), "note": "jammed"}

        page = desk_of_office.post(url("void", lake, run.pk), asked, follow=True)

        assert message_tags(page) == ["success"]
        states = run.vials.order_by("sequence").values_list("state", "note")
        assert list(states) == [("printed", ""), ("void", "jammed"), ("void", "jammed")]

    def test_makes_none_void_without_a_reason(self, desk_of_office, lake, make_run):
        run = make_run(count=3)
        asked = {"void_first": number(2), "void_last": number(2), "note": " "}

        refused = desk_of_office.post(url("void", lake, run.pk), asked)

        assert_refused_at(refused, "note", "required")
        assert not run.vials.filter(state="void").exists()

    def test_another_lakes_run_is_not_found(self, desk_of_office, lake, other_lake, make_run):
        run = make_run(season=other_lake.seasons.get())

        for name in ("run", "run_pdf"):
            assert desk_of_office.get(url(name, lake, run.pk)).status_code == 404
        assert desk_of_office.post(url("void", lake, run.pk)).status_code == 404
