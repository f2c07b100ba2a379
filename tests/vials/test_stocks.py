"""Label stocks that an office measures itself, and those that every lake has."""

import io
from datetime import timedelta
from uuid import uuid4

import pypdfium2
import pytest
import zxingcpp
from django.db import IntegrityError, transaction
from PIL import Image

from samples.models import LabelPrint, LakeStock, Membership
from samples.vials import queries, services
from samples.vials.geometry import STOCKS, Nudge
from tests.factories import make_stock
from tests.people import NOW
from tests.shown import error_codes, message_tags
from tests.vials.numbers import SHEET
from tests.vials.pages import assert_refused_at, page_of, url


def measured(**changed):
    return {
        "kind": "sheet",
        "label_width": "40",
        "label_height": "20",
        "corner_radius": "1.5",
        "page_width": "8.5 in",
        "page_height": "11 in",
        "columns": "4",
        "rows": "10",
        "left": "20",
        "top": "20",
        "pitch_across": "44",
        "pitch_down": "24",
        "margin": "1",
        "strip": "",
        "dots_per_inch": "300",
        "vial_diameter": "17",
        "note": "upper shelf",
    } | changed


class TestCommonStocks:
    def test_there_are_a_dozen_by_measurements_alone(self):
        sizes = {(stock.label_width_mm, stock.label_height_mm) for stock in STOCKS.values()}

        assert len(STOCKS) >= 12
        assert sizes >= {
            (25, 10),
            (33, 13),
            (35, 15),
            (38, 12),
            (51, 25),
            (9.5, 9.5),
            (13, 13),
            (57, 89),
        }
        assert {stock.page_name for stock in STOCKS.values()} == {
            "Letter sheet",
            "A4 sheet",
            "Roll label",
            "Envelope",
        }

    def test_what_older_runs_name_measures_what_it_did(self):
        """Labels of older runs are printed again on the same sheets."""
        sheet = STOCKS["sheet-35x15"]
        assert (sheet.columns, sheet.rows, sheet.left_mm, sheet.top_mm) == (5, 17, 14.5, 8.2)
        assert (sheet.pitch_across_mm, sheet.pitch_down_mm) == (38, 15.5)
        for code, size in (("roll-38x19", (38, 19)), ("envelope-57x89", (57, 89))):
            stock = STOCKS[code]
            assert (stock.page_width_mm, stock.page_height_mm) == size


class TestEditor:
    def test_a_measured_stock_is_kept_and_printed_on(self, desk_of_office, lake, season, make_run):
        added = desk_of_office.post(url("add_stock", lake), measured(), follow=True)

        row = LakeStock.objects.get()
        assert message_tags(added) == ["success"]
        assert (row.page_width, row.page_height) == (215_90, 279_40)
        assert row.code in page_of(desk_of_office.get(url("labels", lake)))
        run = make_run(count=41, stock=row.code)
        answer = desk_of_office.get(url("run_pdf", lake, run.pk))
        assert len(pypdfium2.PdfDocument(b"".join(answer.streaming_content))) == 2

    @pytest.mark.parametrize(
        ("typed", "hundredths"),
        [
            ("40", 40_00),
            ("40,5 mm", 40_50),
            ("1 1/2 in", 38_10),
            ('2 5/8"', 66_68),
            ("1.75 in.", 44_45),
        ],
    )
    def test_lengths_are_typed_as_measured(self, desk_of_office, lake, season, typed, hundredths):
        asked = measured(label_width=typed, columns="1", pitch_across="")
        desk_of_office.post(url("add_stock", lake), asked)

        assert LakeStock.objects.get().label_width == hundredths

    @pytest.mark.parametrize(
        ("changed", "field"),
        [
            ({"pitch_across": "39"}, "pitch_across"),
            ({"pitch_down": "19"}, "pitch_down"),
            ({"columns": "5"}, "columns"),
            ({"rows": "11"}, "rows"),
            ({"columns": "0"}, "columns"),
            ({"columns": "four"}, "columns"),
            ({"corner_radius": "11"}, "corner_radius"),
            ({"is_round": "on"}, "label_height"),
            ({"strip": "39"}, "strip"),
            ({"margin": "10"}, "label_height"),
            ({"label_width": "wide"}, "label_width"),
            ({"label_width": ""}, "label_width"),
            ({"label_width": "1/0 in"}, "label_width"),
            ({"label_width": "7", "pitch_across": "8"}, "label_width"),
            ({"pitch_across": ""}, "pitch_across"),
            ({"page_width": ""}, "page_width"),
            ({"dots_per_inch": "72"}, "dots_per_inch"),
            ({"vial_diameter": "0"}, "vial_diameter"),
            ({"kind": "box"}, "kind"),
            ({"kind": "envelope", "label_width": "57", "label_height": "60"}, "label_height"),
            ({"kind": "envelope", "label_width": "50", "label_height": "89"}, "label_width"),
            ({"note": "x" * 41}, "note"),
        ],
    )
    def test_impossible_measurements_are_refused_at_their_field(
        self, desk_of_office, lake, season, changed, field
    ):
        answer = desk_of_office.post(url("add_stock", lake), measured(**changed))

        [code] = error_codes(answer)[field]
        assert set(error_codes(answer)) == {field}
        assert_refused_at(answer, field, code)
        assert not LakeStock.objects.exists()

    def test_a_roll_is_its_own_page_whatever_the_sheet_was(self, desk_of_office, lake, season):
        desk_of_office.post(url("add_stock", lake), measured(kind="single"))

        row = LakeStock.objects.get()
        assert (row.page_width, row.page_height, row.columns, row.left) == (40_00, 20_00, 1, 0)

    def test_the_picture_is_the_page_that_prints(self, desk_of_office, lake, season, settings):
        settings.PUBLIC_ADDRESS = "https://fish.example"
        answers = [desk_of_office.get(url("stock_picture", lake, at), measured()) for at in (1, 0)]
        sheet, label = (Image.open(io.BytesIO(answer.content)) for answer in answers)

        assert sheet.width / sheet.height == pytest.approx(8.5 / 11, abs=0.001)
        # A dot of the printer is a pixel.
        assert label.size == pytest.approx((472, 236), abs=2)
        assert [found.text[:25] for found in zxingcpp.read_barcodes(label)] == [
            "HTTPS://FISH.EXAMPLE/V/26"
        ]

    def test_the_picture_of_a_large_label_is_coarser_than_its_printer(
        self, desk_of_office, lake, season
    ):
        asked = measured(kind="single", label_width="90", label_height="90", dots_per_inch="2400")
        answer = desk_of_office.get(url("stock_picture", lake, 0), asked)

        label = Image.open(io.BytesIO(answer.content))
        assert label.width == label.height
        assert label.width * label.height <= 4_000_000

    def test_a_change_is_looked_at_before_it_is_kept(self, desk_of_office, lake, season, office):
        row = make_stock(lake, office)
        address = url("stock", lake, row.pk)

        desk_of_office.post(address, measured(rows="9", see="1"))
        seen = LakeStock.objects.get().rows
        desk_of_office.post(address, measured(rows="9"))

        assert (seen, LakeStock.objects.get().rows) == (10, 9)

    def test_what_was_printed_on_a_stock_prints_again_as_it_was(
        self, desk_of_office, lake, season, office, make_run
    ):
        row = make_stock(lake, office)
        run = make_run(count=39, stock=row.code)
        services.set_printer(lake=lake, stock=row.code, nudge=Nudge(right_mm=0.5))
        before = queries.print_job(run.first_print).digest()

        # Two taps on the same button.
        for _ in range(2):
            desk_of_office.post(url("stock", lake, row.pk), measured(left="22", note=""))

        [changed] = LakeStock.objects.filter(is_retired=False)
        assert queries.print_job(run.first_print).digest() == before
        assert (LakeStock.objects.get(pk=row.pk).left, changed.left) == (20_00, 22_00)
        assert queries.nudge_for(lake, changed.code) == Nudge(right_mm=0.5)
        # The sheet that lies in the printer goes on.
        assert queries.part_sheet(lake, queries.stock_of(changed)).used == list(range(1, 40))

    def test_a_note_alone_makes_no_other_stock(
        self, desk_of_office, lake, season, office, make_run
    ):
        desk_of_office.post(url("add_stock", lake), measured())
        row = LakeStock.objects.get()
        make_run(stock=row.code)

        desk_of_office.post(url("stock", lake, row.pk), measured(note="lower shelf"))

        assert LakeStock.objects.get().note == "lower shelf"

    def test_a_second_tap_keeps_no_second_stock(self, desk_of_office, lake, season):
        first, second = (desk_of_office.post(url("add_stock", lake), measured()) for _ in range(2))

        assert first.url == second.url
        assert LakeStock.objects.count() == 1

    def test_a_change_that_the_offset_of_the_printer_moves_off_the_sheet_is_refused(
        self, desk_of_office, lake, season, office
    ):
        row = make_stock(lake, office)
        services.set_printer(lake=lake, stock=row.code, nudge=Nudge(right_mm=9))

        answer = desk_of_office.post(url("stock", lake, row.pk), measured(left="36"))

        assert error_codes(answer) == {"__all__": ["off_the_sheet"]}
        assert LakeStock.objects.get().left == 20_00

    def test_no_labels_are_made_that_the_offset_moves_off_their_sheet(self, lake, office, make_run):
        row = make_stock(lake, office)
        services.set_printer(lake=lake, stock=row.code, nudge=Nudge(right_mm=9))
        LakeStock.objects.update(left=36_00)

        with pytest.raises(services.CannotMakeRun) as refused:
            make_run(stock=row.code)

        assert (refused.value.code, refused.value.field) == ("offset_off_the_sheet", "stock")

    def test_another_stock_begins_from_one_that_is_like_it(
        self, desk_of_office, lake, season, other_lake, office
    ):
        theirs = make_stock(other_lake, office, columns=3)
        address = url("add_stock", lake)

        common = desk_of_office.get(address, {"like": "a4-51x25"}).context["form"]
        hidden = desk_of_office.get(address, {"like": theirs.code}).context["form"]
        Membership.objects.create(lake=other_lake, person=office, role="office")
        copied = desk_of_office.get(address, {"like": theirs.code}).context["form"]

        assert common["label_width"].value() == "51"
        assert hidden["columns"].value() == 5
        assert copied["columns"].value() == 3

    def test_a_retired_stock_is_listed_no_more_and_prints_again(
        self, desk_of_office, lake, season, office, make_run
    ):
        row = make_stock(lake, office)
        run = make_run(stock=row.code)

        desk_of_office.post(url("retire_stock", lake, row.pk))

        assert row.code not in queries.stocks_at(lake)
        assert desk_of_office.get(url("run_pdf", lake, run.pk)).status_code == 200

    def test_the_stock_in_place_of_the_one_printed_last_is_offered_next(
        self, desk_of_office, lake, season, office, make_run
    ):
        row = make_stock(lake, office)
        make_run(stock=row.code)
        assert queries.last_stock(lake) == row.code

        desk_of_office.post(url("stock", lake, row.pk), measured(top="21"))
        desk_of_office.post(url("stock", lake, row.pk + 1), measured(top="22"))

        assert queries.last_stock(lake) == LakeStock.objects.get(is_retired=False).code

    def test_labels_printed_again_on_another_stock_do_not_change_what_a_run_is_offered(
        self, lake, season, office, make_run
    ):
        run = make_run(stock="sheet-35x15")
        again = LabelPrint.objects.get(run=run)
        again.pk, again.run, again.request_id = None, None, uuid4()
        again.stock, again.made_at = "envelope-57x89", NOW + timedelta(hours=1)
        again.save()

        assert queries.last_stock(lake) == "sheet-35x15"

    def test_a_sheet_of_other_columns_is_not_the_part_used_one(self, lake, office, make_run):
        row = make_stock(lake, office)
        make_run(count=39, stock=row.code)
        row.rows = 5
        row.save()

        assert queries.part_sheet(lake, queries.stock_of(row)) is None

    def test_another_lakes_stock_prints_nothing_here(
        self, desk_of_office, lake, season, office, other_lake
    ):
        theirs = make_stock(other_lake, office)
        asked = {"season": season.pk, "count": "3", "stock": theirs.code, "request_id": "0" * 32}

        answer = desk_of_office.post(url("labels", lake), asked)

        assert_refused_at(answer, "stock", "invalid_choice")


@pytest.mark.parametrize(
    "changed",
    [{"columns": 0}, {"label_width": 0}, {"pitch_across": 39_99}, {"pitch_down": 19_99}],
)
def test_the_database_keeps_no_impossible_stock(lake, office, changed):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_stock(lake, office, **changed)


def test_every_stock_is_listed_with_what_its_code_will_be(desk_of_office, lake, season, settings):
    settings.PUBLIC_ADDRESS = "https://fish.example"
    page = desk_of_office.get(url("stocks", lake))

    rows = {row.stock.code: row.symbol for row in page.context["common"]}
    assert rows.keys() == STOCKS.keys()
    assert rows["letter-dot-9-5"] != rows[SHEET]
    assert all(symbol in page_of(page) for symbol in rows.values())
