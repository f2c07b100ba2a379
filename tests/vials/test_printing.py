"""Labels looked at before they print, part-used sheets, numbers printed again, and kept files."""

import io
import uuid

import pypdfium2
import pytest
import zxingcpp
from django.core.files.storage import default_storage
from django.utils import timezone
from PIL import Image

from samples.computations import requests
from samples.computations.running import run_computation
from samples.models import Computation, LabelPrint, PartSheet
from samples.rules import vial_number
from samples.vials import computed, services
from samples.vials.geometry import Nudge
from samples.vials.pdf import labels_pdf
from samples.vials.services import printing
from tests.people import NOW, make_vials
from tests.shown import error_codes
from tests.vials.numbers import SHEET, number
from tests.vials.pages import assert_refused_at, page_of, url

ADDRESS = "https://fish.example"


def words(season, **changed):
    return {
        "season": season.pk,
        "count": "3",
        "stock": SHEET,
        "first_position": "",
        "request_id": str(uuid.uuid4()),
    } | changed


def pdf_of(answer):
    return b"".join(answer.streaming_content)


def texts(data):
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]


def numbers_in(data):
    """Return the places in the year of the labels of a file, as they come."""
    found = " ".join(texts(data)).split()
    return [int(found[at + 1]) for at, word in enumerate(found) if word == "26"]


class TestPictures:
    def test_the_sheet_shown_is_the_page_that_prints(self, desk_of_office, lake, season, settings):
        settings.PUBLIC_ADDRESS = ADDRESS
        asked = words(season, count="90", first_position="23")
        shown = desk_of_office.get(url("picture", lake, 1), asked)
        second = desk_of_office.get(url("picture", lake, 2), asked)

        run = desk_of_office.post(url("labels", lake), asked, follow=True)

        printed = pypdfium2.PdfDocument(pdf_of(desk_of_office.get(run.context["file_address"])))
        for page, picture in enumerate((shown, second)):
            image = printed[page].render(scale=110 / 72, grayscale=True).to_pil()
            assert image.tobytes() == Image.open(io.BytesIO(picture.content)).tobytes()

    # Of seven across the seventh has no neighbor to pair with: it is passed over.
    @pytest.mark.parametrize("start", [{"first_position": 12}, {"first_position": 7, "twins": 1}])
    def test_the_label_shown_is_read_by_a_phone(
        self, desk_of_office, lake, season, settings, start
    ):
        settings.PUBLIC_ADDRESS = ADDRESS
        asked = words(season, stock="letter-25x10", **start)

        shown = desk_of_office.get(url("picture", lake, 0), asked)

        image = Image.open(io.BytesIO(shown.content))
        # A dot of the printer is a pixel: 25 x 10 mm at 600 dots an inch.
        assert image.size == pytest.approx((591, 236), abs=2)
        [symbol] = zxingcpp.read_barcodes(image)
        assert symbol.text == f"HTTPS://FISH.EXAMPLE/V/{number(1)}"

    @pytest.mark.parametrize("changed", [{"count": "0"}, {"first_position": "86"}])
    def test_what_cannot_print_has_no_picture(self, desk_of_office, lake, season, changed):
        asked = words(season, **changed)

        assert desk_of_office.get(url("picture", lake, 1), asked).status_code == 422

    def test_a_live_preview_marks_the_field(self, desk_of_office, lake, season):
        answer = desk_of_office.get(url("labels", lake), words(season, count="a lot"))

        assert_refused_at(answer, "count", "invalid")

    def test_a_label_without_room_for_a_symbol_says_so(
        self, desk_of_office, lake, season, settings
    ):
        settings.PUBLIC_ADDRESS = ADDRESS
        page = desk_of_office.get(url("labels", lake), words(season, stock="letter-dot-9-5"))

        assert not page.context["sheets"].has_symbol
        assert page_of(page).count(page.context["sheets"].symbol) == 2


class TestPartUsedSheet:
    def test_what_is_left_is_offered_and_filled(self, desk_of_office, lake, season, make_run):
        make_run(count=3, first_position=23)

        fresh = desk_of_office.get(url("labels", lake)).context["form"]
        asked = words(season, count="70", sheet=fresh.initial["sheet"])
        run = desk_of_office.post(url("labels", lake), asked, follow=True)

        assert fresh.initial["first_position"] == 26
        row = run.context["label_print"]
        assert (row.first_position, row.used) == (26, list(range(1, 26)))
        assert len(texts(pdf_of(desk_of_office.get(run.context["file_address"])))) == 2
        assert PartSheet.objects.get().used == list(range(1, 11))

    def test_a_place_passed_over_stays_free(self, make_run):
        make_run(count=1, first_position=1)
        make_run(count=1, first_position=5, sheet_version=1)
        make_run(count=4, first_position=2, sheet_version=2)

        assert PartSheet.objects.get().used == [1, 2, 3, 4, 5, 6]

    def test_two_people_do_not_print_on_the_same_places(self, desk_of_office, lake, season):
        first, second = (words(season, count="5") for _ in range(2))
        desk_of_office.post(url("labels", lake), first)
        seen = desk_of_office.get(url("labels", lake)).context["form"].initial["sheet"]
        desk_of_office.post(url("labels", lake), words(season, count="5", sheet=seen))

        answer = desk_of_office.post(url("labels", lake), second | {"sheet": seen})

        assert error_codes(answer) == {"sheet": ["invalid_choice"]}
        assert PartSheet.objects.get().used == list(range(1, 11))

    def test_a_double_tap_on_a_part_used_sheet_makes_one_run(
        self, desk_of_office, lake, season, make_run
    ):
        make_run(count=5)
        sheet = desk_of_office.get(url("labels", lake)).context["form"].initial["sheet"]
        asked = words(season, count="5", sheet=sheet)

        first, second = (desk_of_office.post(url("labels", lake), asked) for _ in range(2))

        assert first.url == second.url
        assert PartSheet.objects.get().used == list(range(1, 11))

    def test_the_service_refuses_a_sheet_that_was_printed_on(self, make_run):
        make_run(count=5)
        make_run(count=5, first_position=6, sheet_version=1)

        with pytest.raises(services.CannotMakeRun) as refused:
            make_run(count=5, first_position=6, sheet_version=1)
        assert (refused.value.code, refused.value.field) == ("sheet_changed", "sheet")

    def test_a_used_position_is_refused(self, desk_of_office, lake, season, make_run):
        make_run(count=5)
        sheet = desk_of_office.get(url("labels", lake)).context["form"].initial["sheet"]
        asked = words(season, sheet=sheet, first_position="5")

        assert_refused_at(
            desk_of_office.post(url("labels", lake), asked), "first_position", "off_the_sheet"
        )

    def test_a_full_sheet_and_a_roll_leave_nothing(self, make_run, lake):
        make_run(count=85)
        make_run(count=3, stock="roll-38x19")

        assert [sheet.used for sheet in PartSheet.objects.all()] == [[]]

    def test_new_sheets_that_are_used_up_leave_the_old_one(self, make_run):
        make_run(count=5)
        make_run(count=85)

        assert PartSheet.objects.get().used == [1, 2, 3, 4, 5]

    def test_labels_run_down_and_in_pairs(self, desk_of_office, lake, season):
        down = words(season, order="down", count="2")
        desk_of_office.post(url("labels", lake), down)
        pairs = words(season, twins="on", count="3")
        left = PartSheet.objects.get().used
        run = desk_of_office.post(url("labels", lake), pairs, follow=True)

        assert left == [1, 6]
        assert numbers_in(pdf_of(desk_of_office.get(run.context["file_address"]))) == [
            *(3, 3),
            *(4, 4),
            *(5, 5),
        ]
        # Five across: two pairs, and the third one in the next row.
        assert PartSheet.objects.get().used == [1, 2, 3, 4, 6, 7]


@pytest.fixture
def printed(make_run):
    return make_run(count=30)


def reprint_words(season, numbers, **changed):
    return words(season, **{"numbers": numbers} | changed)


class TestReprint:
    @pytest.mark.parametrize(
        ("typed", "places"),
        [
            ("12-20, 25", [*range(12, 21), 25]),
            ("5", [5]),
            ("3 - 4; 1 to 2", [1, 2, 3, 4]),
            (f"{vial_number.grouped(number(7))} - {vial_number.grouped(number(9))}", [7, 8, 9]),
            (f"HTTPS://FISH.EXAMPLE/V/{number(8)}", [8]),
            ("12-20, 21", [*range(12, 22)]),
        ],
    )
    def test_prints_what_is_asked_for(self, desk_of_office, lake, season, printed, typed, places):
        done = desk_of_office.post(url("reprint", lake), reprint_words(season, typed), follow=True)

        assert numbers_in(pdf_of(desk_of_office.get(done.context["file_address"]))) == places

    @pytest.mark.parametrize(
        ("typed", "code"),
        [
            ("", "required"),
            ("12-20, 18-25", "overlap"),
            ("5, 5", "overlap"),
            ("20-12", "backwards"),
            ("28-31", "not_made"),
            ("0", "no_such_number"),
            ("twelve", "not_digits"),
            ("26 0012 4", "wrong_check_digit"),
            (vial_number.make(2025, 12, 4), "other_year"),
            ("12345", "too_short"),
        ],
    )
    def test_refuses_what_cannot_be_printed(
        self, desk_of_office, lake, season, printed, typed, code
    ):
        answer = desk_of_office.post(url("reprint", lake), reprint_words(season, typed))

        assert_refused_at(answer, "numbers", code)
        assert not LabelPrint.objects.filter(run=None).exists()

    def test_numbers_of_another_lake_are_refused(
        self, desk_of_office, lake, season, printed, other_lake, office
    ):
        make_vials(other_lake.seasons.get(), first=31, count=2, by=office)
        answer = desk_of_office.post(url("reprint", lake), reprint_words(season, "30-32"))

        assert_refused_at(answer, "numbers", "not_made")

    def test_void_numbers_are_left_out(self, desk_of_office, lake, season, printed, office):
        services.void_vials(lake=lake, first=number(2), last=number(3), actor=office, now=NOW)
        address = url("reprint", lake)

        some = desk_of_office.post(address, reprint_words(season, "1-4"), follow=True)
        none = desk_of_office.post(address, reprint_words(season, "2-3"))

        assert numbers_in(pdf_of(desk_of_office.get(some.context["file_address"]))) == [1, 4]
        assert_refused_at(none, "numbers", "all_void")

    def test_one_vial_from_its_own_page(self, desk_of_office, lake, season, printed):
        page = desk_of_office.get(url("reprint", lake), {"numbers": number(7)})

        form = page.context["form"]
        assert (form.cleaned_data["ranges"], form.cleaned_data["season"]) == ([(7, 7)], season)
        # The sheet that the run left is offered: 30 of its 85 positions are used.
        assert form.cleaned_data["first_position"] == 31

    def test_a_double_tap_prints_once(self, desk_of_office, lake, season, printed):
        sheet = desk_of_office.get(url("reprint", lake)).context["form"].initial["sheet"]
        asked = reprint_words(season, "5", sheet=sheet)

        first, second = (desk_of_office.post(url("reprint", lake), asked) for _ in range(2))

        assert first.url == second.url
        assert LabelPrint.objects.filter(run=None).count() == 1


@pytest.fixture
def drawn(monkeypatch):
    """Count how often labels are drawn for a file."""
    calls = []
    draw = labels_pdf

    def counted(*asked):
        calls.append(asked)
        return draw(*asked)

    monkeypatch.setattr(printing, "labels_pdf", counted)
    return calls


class TestKeptFile:
    def get(self, client, lake, run):
        return pdf_of(client.get(url("run_pdf", lake, run.pk)))

    def test_a_second_download_is_not_drawn_anew(self, desk_of_office, lake, make_run, drawn):
        run = make_run(count=3)

        first, second = (self.get(desk_of_office, lake, run) for _ in range(2))

        assert first == second
        assert len(drawn) == 1

    def test_void_numbers_and_a_moved_printer_are_drawn_anew(
        self, desk_of_office, lake, make_run, office, drawn
    ):
        run = make_run(count=3)
        first = self.get(desk_of_office, lake, run)
        old_file = LabelPrint.objects.get().file.name

        services.void_vials(lake=lake, first=number(2), last=number(2), actor=office, now=NOW)
        without = self.get(desk_of_office, lake, run)
        services.set_printer(lake=lake, stock=SHEET, nudge=Nudge(right_mm=0.5))
        moved = self.get(desk_of_office, lake, run)

        assert [numbers_in(data) for data in (first, without, moved)] == [[1, 2, 3], [1, 3], [1, 3]]
        assert without != moved
        assert len(drawn) == 3
        assert LabelPrint.objects.get().file.name != old_file

    def test_a_lost_file_is_drawn_anew(self, desk_of_office, lake, make_run):
        run = make_run(count=3)
        first = self.get(desk_of_office, lake, run)
        default_storage.delete(LabelPrint.objects.get().file.name)

        assert self.get(desk_of_office, lake, run) == first

    def test_a_run_of_an_older_program_prints_as_it_was(self, desk_of_office, lake, make_run):
        run = make_run(count=3, first_position=84)
        LabelPrint.objects.all().delete()

        pages = texts(self.get(desk_of_office, lake, run))

        assert [vial_number.grouped(number(3)) in page for page in pages] == [False, True]

    def test_a_stock_that_is_not_known_any_more_says_so(self, desk_of_office, lake, make_run):
        run = make_run(count=3)
        for row in (run, LabelPrint.objects.get()):
            row.stock = "of-another-year"
            row.save()

        assert desk_of_office.get(url("run", lake, run.pk)).status_code == 200
        assert desk_of_office.get(url("run_pdf", lake, run.pk)).status_code == 422


class TestManyLabels:
    @pytest.fixture
    def work(self, monkeypatch):
        """Return a queue that is worked off when the test says so: work()."""
        monkeypatch.setattr(requests, "enqueue", lambda pk, *, short: "queued")
        monkeypatch.setattr(computed, "MOST_ON_A_PAGE", 10)

        def work_off():
            for row in Computation.objects.filter(state=Computation.State.QUEUED):
                run_computation(row.pk, worker="worker", task_id="t", clock=timezone.now)

        return work_off

    def test_are_drawn_beside_the_request(self, desk_of_office, lake, make_run, work, drawn):
        run = make_run(count=40)
        address = url("run", lake, run.pk)

        waiting = desk_of_office.get(address)
        status = desk_of_office.get(
            url("print_status", lake, waiting.context["label_print"].pk)
        ).json()
        early = desk_of_office.get(url("run_pdf", lake, run.pk))
        work()
        ready = desk_of_office.get(address)
        data = pdf_of(desk_of_office.get(url("run_pdf", lake, run.pk)))

        assert (status["open"], waiting.context["open"]) == (True, True)
        assert early.url == address
        assert url("run_pdf", lake, run.pk) not in page_of(waiting)
        # Without a script the page comes by itself too.
        assert '<noscript><meta http-equiv="refresh"' in page_of(waiting)
        assert "refresh" not in page_of(ready)
        assert url("run_pdf", lake, run.pk) in page_of(ready)
        assert numbers_in(data) == list(range(1, 41))
        assert len(drawn) == 1

    def test_a_failure_is_said_and_tried_again(
        self, desk_of_office, lake, make_run, work, monkeypatch
    ):
        run = make_run(count=40)
        address = url("run", lake, run.pk)
        with monkeypatch.context() as broken:
            broken.setattr(printing, "labels_pdf", lambda *asked: 1 / 0)
            desk_of_office.get(address)
            work()
        failed = desk_of_office.get(address)
        label_print = failed.context["label_print"]

        again = url("draw_again", lake, label_print.pk)
        assert again in page_of(failed)
        desk_of_office.post(again)
        work()

        assert url("run_pdf", lake, run.pk) in page_of(desk_of_office.get(address))
