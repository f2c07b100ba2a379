"""A spreadsheet of readings with measured rings comes in whole or not at all."""

from datetime import date, timedelta

import pytest

from samples.exchange.entry import RINGS, CannotReadTable, read_table
from samples.exchange.services import CannotImport, RingsSettings, import_rings
from samples.findings.queries import FindingsSelection
from samples.findings.queries.readings import rings_of
from samples.lab.services import set_radii
from samples.models import Age, Fish, LakeSpecies, Radius, Reading, Vial
from tests.lab.making import put_in_lab, read
from tests.people import NOW, make_vials

LATER = NOW + timedelta(days=20)
READ_ON = date(2026, 5, 20)
HEAD = "vial,annuli,margin,method,read on,edge radius,radius 1,radius 2,radius 3\n"
FIRST = "26 0001 8,3,4,whole,2026-05-20,950,400,700,900\n"
SECOND = "26 0002 6,2,4,crack and burn,20 May 2026,800,390,640,\n"
GOOD = HEAD + FIRST + SECOND


@pytest.fixture
def fish(vials, party, white):
    """Two white crappies of 6 May whose vials lie in the lab."""
    return [put_in_lab(vial, party, white) for vial in vials[:2]]


@pytest.fixture
def take(lake, fish, reader):
    """Import a text as the reader."""

    def run(text, *, by=reader, commit=True, lake="Lake Orrinbeck", **settings):
        content = text if isinstance(text, bytes) else text.encode()
        table = read_table(content, RINGS)
        told = RingsSettings(lake=lake, **settings)
        return import_rings(table, told, actor=by, now=LATER, commit=commit)

    return run


def counts(report):
    return report.readings, report.rings_only, report.already


def bad(report):
    return [(one.row, one.column, one.found) for one in report.bad]


def rings(reading):
    radii = reading.radii.order_by("annulus").values_list("radius_um", flat=True)
    return list(radii), reading.edge_um


def nothing_written():
    return not Reading.objects.exists() and not Radius.objects.exists()


class TestGoodFile:
    def test_readings_and_rings_are_kept_and_ages_follow(self, take, reader):
        report = take(GOOD)

        assert counts(report) == (2, 0, 0)
        assert (report.rows, report.unit, report.bad) == (2, "micrometers", [])
        first, second = Reading.objects.order_by("vial__number")
        assert (first.annuli, first.margin, first.method) == (3, 4, "whole")
        assert (second.annuli, second.margin, second.method) == (2, 4, "crack_burn")
        assert {(one.reader, one.sitting_on) for one in (first, second)} == {(reader, READ_ON)}
        assert [rings(first), rings(second)] == [([400, 700, 900], 950), ([390, 640], 800)]
        ages = Age.objects.order_by("fish__vial__number")
        assert [(age.age_years, age.standing) for age in ages] == [
            (4, "one_reader"),
            (3, "one_reader"),
        ]
        assert set(Vial.objects.filter(readings__isnull=False).values_list("state", flat=True)) == {
            Vial.State.READ
        }

    def test_growth_by_year_sees_them(self, take, lake, season, white):
        take(GOOD)

        choice = FindingsSelection(LakeSpecies.objects.get(lake=lake, species=white), (season,))
        found = rings_of(Fish.objects.filter(lake=lake), choice)
        assert sorted(found.radii_um) == [[390, 640], [400, 700, 900]]
        assert sorted(found.edge_um) == [800, 950]
        assert sorted(found.year_class) == [2022, 2023]
        assert found.length_mm == [254.0, 254.0]

    def test_without_commit_nothing_is_written(self, take):
        assert counts(take(GOOD, commit=False)) == (2, 0, 0)

        assert nothing_written()
        assert not Age.objects.exists()

    @pytest.mark.parametrize(
        "text",
        [
            pytest.param(
                "Vial No.;Annuli;Margin code;Method;Date read;Edge (mm);R1 (mm);R2 (mm);R3 (mm)\n"
                "2600018;3;4;Whole;2026-05-20;0,950;0,400;0,7;0,9\n",
                id="millimetres, semicolons, decimal commas",
            ),
            pytest.param(
                "VIAL NUMBER\tcount\tmargin\tpreparation\tdate of reading\tradius to the edge (µm)"
                "\tradius_1_µm\tring 2\tannulus 03\n"
                "26-0001-8\t3.0\t4\tWhole otolith\t20 May 2026\t950.2\t399.6\t700\t900\n",
                id="micrometers, tabs",
            ),
            pytest.param(
                "vial,radius 3,radius 2,radius 1,otolith radius,annuli,margin,method,read_on\n"
                "2600018,900,700,400,950,3,4,whole,2026-05-20\n",
                id="columns in another order",
            ),
            pytest.param(
                "vial,annuli,margin,method,read on,edge radius in mm,radius 1,radius 2,radius 3\n"
                "2600018,3,4,whole,2026-05-20,0.950,0.4,0.7,0.9\n",
                id="one heading names millimetres for all",
            ),
            pytest.param(
                "vial,annuli,margin,method,read on,edge radius mm,radius 1 um,radius 2 um,r3 um\n"
                "2600018,3,4,whole,2026-05-20,0.95,400,700,900\n",
                id="each heading its own unit",
            ),
        ],
    )
    def test_headings_and_numbers_are_forgiving(self, take, text):
        for content in (text.encode(), text.encode("cp1252")):
            report = take(content)
            assert (report.bad, report.not_used) == ([], ())

        reading = Reading.objects.get()
        assert (reading.annuli, reading.margin, reading.method) == (3, 4, "whole")
        assert rings(reading) == ([400, 700, 900], 950)

    def test_a_fish_of_the_year_has_an_edge_alone(self, take):
        take(HEAD + "26 0001 8,0,,whole,2026-05-20,210,,,\n")

        assert rings(Reading.objects.get()) == ([], 210)

    def test_the_last_annulus_may_lie_at_the_edge(self, take):
        take(HEAD + "26 0001 8,3,1,whole,2026-05-20,900,400,700,900\n")

        assert rings(Reading.objects.get()) == ([400, 700, 900], 900)

    def test_columns_not_used_are_named(self, take):
        text = "vial,annuli,margin,method,read on,edge,radius 1,age,radius\n"

        assert take(text + "2600018,1,4,whole,2026-05-20,500,400,2,9\n").not_used == (
            "age",
            "radius",
        )


class TestRepeat:
    def test_the_same_file_again_changes_nothing(self, take):
        take(GOOD)
        kept = list(Radius.objects.order_by("pk").values())
        history = Reading.history.count(), Vial.history.count(), Age.objects.values().first()

        report = take(GOOD)

        assert counts(report) == (0, 0, 2)
        assert list(Radius.objects.order_by("pk").values()) == kept
        now = Reading.history.count(), Vial.history.count(), Age.objects.values().first()
        assert now == history

    def test_a_count_typed_before_gets_its_rings_and_keeps_the_rest(self, take, vials, reader):
        typed = read(vials[0], reader, 3, 4, sitting_on=READ_ON, readability=2, note="pale").reading

        report = take(HEAD + FIRST.replace(",3,4,", ",3,,"))

        assert counts(report) == (0, 1, 0)
        kept = Reading.objects.get()
        assert rings(kept) == ([400, 700, 900], 950)
        assert (kept.pk, kept.margin, kept.readability, kept.note) == (typed.pk, 4, 2, "pale")
        assert (kept.length_was_hidden, kept.read_at) == (True, NOW)
        last = kept.history.latest("history_id")
        assert (last.history_user, last.history_date) == (reader, LATER)

    def test_rings_measured_again_take_the_place_of_the_old(self, take, vials, reader):
        typed = read(vials[0], reader, 3, 4, sitting_on=READ_ON).reading
        set_radii(typed, [300, 500, 600], edge_um=650)

        assert counts(take(HEAD + FIRST)) == (0, 1, 0)

        assert rings(Reading.objects.get()) == ([400, 700, 900], 950)

    @pytest.mark.parametrize(("annuli", "margin"), [(2, 4), (3, 1)])
    def test_another_count_in_that_sitting_is_not_written_over(
        self, take, vials, reader, annuli, margin
    ):
        read(vials[0], reader, annuli, margin, sitting_on=READ_ON)

        report = take(GOOD)

        assert bad(report) == [(2, "annuli", "3, margin 4")]
        assert f" {annuli} " in report.bad[0].expected
        kept = Reading.objects.get()
        assert (kept.annuli, kept.margin, kept.edge_um) == (annuli, margin, None)

    def test_another_day_method_or_reader_is_another_reading(self, take, vials, biologist):
        take(HEAD + FIRST)
        take(HEAD + FIRST.replace("05-20", "05-21"))
        take(HEAD + FIRST.replace("whole", "section"))
        take(HEAD + FIRST, by=biologist)

        assert Reading.objects.filter(vial=vials[0], edge_um=950).count() == 4


BAD_ROWS = [
    (
        "26 0001 7,3,4,whole,2026-05-20,950,400,700,900",
        "vial",
        "not one of our vial numbers",
        "26 0001 7",
    ),
    (",3,4,whole,2026-05-20,950,400,700,900", "vial", "Enter the number", "nothing"),
    ("26 0099 5,3,4,whole,2026-05-20,950,400,700,900", "vial", "No vial of this lake", "26 0099 5"),
    ("26 0003 4,3,4,whole,2026-05-20,950,400,700,900", "vial", "No fish is logged", "26 0003 4"),
    ("26 0001 8,three,4,whole,2026-05-20,950,400,700,900", "annuli", "0 to 59", "three"),
    ("26 0001 8,60,4,whole,2026-05-20,950,400,700,900", "annuli", "0 to 59", "60"),
    ("26 0001 8,,4,whole,2026-05-20,950,400,700,900", "annuli", "0 to 59", "nothing"),
    ("26 0001 8,3,5,whole,2026-05-20,950,400,700,900", "margin", "1, 2, 3 or 4", "5"),
    ("26 0001 8,3,0,whole,2026-05-20,950,400,700,900", "margin", "1, 2, 3 or 4", "0"),
    ("26 0001 8,0,2,whole,2026-05-20,950,,,", "margin", "margin", "2"),
    ("26 0001 8,3,,whole,2026-05-20,950,400,700,900", "margin", "Enter the margin", "nothing"),
    ("26 0001 8,3,4,scale,2026-05-20,950,400,700,900", "method", "crack and burn", "scale"),
    ("26 0001 8,3,4,,2026-05-20,950,400,700,900", "method", "Enter whole, section", "nothing"),
    ("26 0001 8,3,4,whole,5/6/26,950,400,700,900", "read on", "2026-05-06", "5/6/26"),
    (
        "26 0001 8,3,4,whole,2026-05-05,950,400,700,900",
        "read on",
        "caught on May 6, 2026",
        "2026-05-05",
    ),
    ("26 0001 8,3,4,whole,2026-05-27,950,400,700,900", "read on", "in the future", "2026-05-27"),
    ("26 0001 8,3,4,whole,2026-05-20,,400,700,900", "edge radius", "radius to the edge", "nothing"),
    ("26 0001 8,3,4,whole,2026-05-20,950,wide,700,900", "radius 1", "in micrometers", "wide"),
    ("26 0001 8,3,4,whole,2026-05-20,950,-400,700,900", "radius 1", "in micrometers", "-400"),
    ("26 0001 8,3,4,whole,2026-05-20,950,0.4,700,900", "radius 1", "reads as 0.0004 mm", "0.4"),
    ("26 0001 8,3,4,whole,2026-05-20,95000,400,700,900", "edge radius", "reads as 95 mm", "95000"),
    ("26 0001 8,3,4,whole,2026-05-20,950,400,390,900", "radius 2", "radius 1 is 400", "390"),
    ("26 0001 8,3,4,whole,2026-05-20,950,400,700,700", "radius 3", "radius 2 is 700", "700"),
    ("26 0001 8,3,4,whole,2026-05-20,890,400,700,900", "edge radius", "outside the edge", "890"),
    ("26 0001 8,3,4,whole,2026-05-20,950,400,,900", "radius 2", "without a gap", "nothing"),
    ("26 0001 8,3,4,whole,2026-05-20,950,400,700,", "annuli", "each of the 3 annuli", "2 radii"),
    ("26 0001 8,2,4,whole,2026-05-20,950,400,700,900", "annuli", "each of the 2 annuli", "3 radii"),
]


class TestBadRows:
    @pytest.mark.parametrize(
        ("row", "column", "found"), [(row, column, found) for row, column, _, found in BAD_ROWS]
    )
    def test_a_bad_row_is_named_and_keeps_all_out(self, take, row, column, found):
        assert bad(take(HEAD + SECOND + row + "\n")) == [(3, column, found)]
        assert nothing_written()

    def test_every_bad_row_is_named_in_order(self, take):
        rows = "".join(f"{row}\n" for row, *_ in BAD_ROWS)

        report = take(HEAD + rows)

        assert {one.row for one in report.bad} >= {2, 3, 4, 6, 9, 13, 15, 19, 23, 26}
        assert [one.row for one in report.bad] == sorted(one.row for one in report.bad)
        assert nothing_written()

    def test_the_same_vial_twice_in_a_sitting_is_refused(self, take):
        report = take(HEAD + FIRST + FIRST.replace(",900", ",910"))

        [(row, column, _)] = bad(report)
        assert (row, column) == (3, "vial")
        assert nothing_written()

    def test_a_void_vial_is_refused(self, take, vials):
        Vial.objects.filter(pk=vials[0].pk).update(state=Vial.State.VOID)

        assert bad(take(GOOD)) == [(2, "vial", "26 0001 8")]
        assert nothing_written()

    def test_an_unusual_age_is_asked_about_and_taken_when_confirmed(self, take, white):
        white.plausible_max_age_years = 3
        white.save()

        asked = take(GOOD)
        taken = take(GOOD, confirm_unusual=True)

        assert bad(asked) == [(2, "annuli", "3")]
        assert "--confirm-unusual" in asked.bad[0].expected
        assert counts(taken) == (2, 0, 0)
        assert Reading.objects.get(annuli=3).slip_answers == ["age_above_highest"]


class TestWhoMay:
    def test_a_vial_of_another_lake_is_not_known_here(self, take, other_lake, stranger, white):
        [other] = make_vials(other_lake.seasons.get(), first=31, count=1, by=stranger)
        row = FIRST.replace("26 0001 8", other.number)

        [(number, column, _)] = bad(take(GOOD + row))

        assert (number, column) == (4, "vial")
        assert nothing_written()

    @pytest.mark.parametrize("role", ["guide", "clerk", "office", "stranger"])
    def test_who_reads_no_otoliths_here_brings_none_in(self, take, request, role):
        person = request.getfixturevalue(role)

        with pytest.raises(CannotImport) as refused:
            take(GOOD, by=person)

        assert refused.value.code == "no_reader"
        assert nothing_written()

    def test_a_reader_who_left_brings_none_in(self, take, reader):
        reader.is_active = False
        reader.save()

        with pytest.raises(CannotImport) as refused:
            take(GOOD)

        assert refused.value.code == "no_reader"

    def test_no_lake_is_made(self, take):
        with pytest.raises(CannotImport) as refused:
            take(GOOD, lake="Far Pond")

        assert refused.value.code == "no_lake"


class TestFile:
    @pytest.mark.parametrize(
        ("missing", "code"),
        [
            ("vial", "no_vial"),
            ("annuli", "no_annuli"),
            ("method", "no_method"),
            ("read on", "no_read_on"),
            ("edge radius", "no_edge"),
            ("radius 1", "no_radius_1"),
        ],
    )
    def test_a_column_that_is_missing_is_named(self, missing, code):
        head = HEAD.replace(missing, "other", 1)

        with pytest.raises(CannotReadTable, match=r": .*other") as problem:
            read_table((head + FIRST).encode(), RINGS)

        assert problem.value.code == code
        assert missing in str(problem.value)

    def test_the_margin_may_be_left_out(self):
        head = HEAD.replace("margin,", "")

        table = read_table((head + FIRST.replace(",4,", ",")).encode(), RINGS)

        assert (table.rows[0].get("margin"), table.rows[0].get("edge")) == ("", "950")

    def test_headings_alone_are_no_file(self):
        with pytest.raises(CannotReadTable) as refused:
            read_table(HEAD.encode(), RINGS)

        assert refused.value.code == "empty"

    def test_pixels_are_refused(self, take):
        text = GOOD.replace("edge radius", "edge radius (pixels)")

        with pytest.raises(CannotImport) as refused:
            take(text)

        assert refused.value.code == "pixels"
