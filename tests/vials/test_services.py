"""Numbers taken, vials handed out, taken in and set aside."""

import uuid

import pytest

from samples.models import LabelRun, NumberYear, Progress, Season, Vial
from samples.rules import vial_number
from samples.vials import services
from samples.vials.geometry import Nudge
from tests.people import NOW, make_person, make_vials
from tests.vials.numbers import SHEET, number, numbers_of


class TestMakeRun:
    def test_goes_on_where_the_last_run_ended(self, make_run):
        make_run(count=2)

        assert numbers_of(make_run(count=2)) == [number(3), number(4)]

    def test_notes_who_printed_each_vial_and_when(self, make_run, office):
        run = make_run(count=1)

        (row,) = run.vials.get().history.all()
        assert (row.state, row.history_user, row.history_date) == ("printed", office, NOW)

    def test_two_lakes_share_the_numbers_of_a_year(self, make_run, other_lake):
        make_run(count=2)

        assert numbers_of(make_run(count=1, season=other_lake.seasons.get())) == [number(3)]

    def test_a_double_tap_makes_one_run(self, make_run):
        request_id = uuid.uuid4()

        assert make_run(request_id=request_id) == make_run(request_id=request_id)
        assert Vial.objects.count() == 3

    def test_a_page_gone_back_to_does_not_pass_off_its_old_run_as_another(self, make_run):
        request_id = uuid.uuid4()
        make_run(request_id=request_id, count=3)

        with pytest.raises(services.CannotMakeRun, match=r"26 0001 \d to 26 0003 \d"):
            make_run(request_id=request_id, count=50)
        for changed in ({"twins": True}, {"runs_down": True}):
            with pytest.raises(services.CannotMakeRun):
                make_run(request_id=request_id, **changed)
        assert Vial.objects.count() == 3

    @pytest.mark.parametrize("changed", [{"ranges": [(1, 2)]}, {"start": services.SheetStart(2)}])
    def test_nor_its_old_labels_as_others(self, make_run, lake, office, changed):
        make_run()
        asked = {"lake": lake, "year": 2026, "ranges": [(1, 1)], "stock": SHEET, "actor": office}
        asked |= {"start": services.SheetStart(1), "request_id": uuid.uuid4(), "now": NOW}
        made = services.reprint(**asked)

        assert services.reprint(**asked) == made
        with pytest.raises(services.CannotReprint):
            services.reprint(**asked | changed)

    def test_a_void_number_is_never_given_out_again(self, make_run, lake, office):
        make_run(count=2)
        services.void_vials(lake=lake, first=number(2), last=number(2), actor=office, now=NOW)

        assert numbers_of(make_run(count=1)) == [number(3)]

    @pytest.mark.parametrize(
        ("changed", "code", "field"),
        [
            ({"count": 0}, "count", "count"),
            ({"count": 20_000}, "count", "count"),
            ({"stock": "of-another-year"}, "unknown_stock", "stock"),
            ({"first_position": 86}, "off_the_sheet", "first_position"),
            ({"first_position": 0}, "off_the_sheet", "first_position"),
        ],
    )
    def test_takes_no_number_for_what_cannot_be_printed(self, make_run, changed, code, field):
        with pytest.raises(services.CannotMakeRun) as refused:
            make_run(**changed)

        assert (refused.value.code, refused.value.field) == (code, field)
        assert not LabelRun.objects.exists()

    def test_stops_where_the_width_is_full(self, make_run):
        NumberYear.objects.create(year=2026, last_sequence=9_997)

        with pytest.raises(services.CannotMakeRun) as too_many:
            make_run(count=3)
        assert numbers_of(make_run(count=2)) == [number(9_998), number(9_999)]
        with pytest.raises(services.CannotMakeRun) as none_left:
            make_run(count=1)
        assert (too_many.value.code, none_left.value.code) == ("used_up", "used_up")

    def test_takes_no_number_for_a_label_whose_words_do_not_fit(self, make_run, lake):
        lake.name = "The Upper and the Lower Lake of Orrinbeck and its Backwaters"
        lake.save()

        with pytest.raises(services.CannotMakeRun) as refused:
            make_run(season=Season.objects.get(lake=lake))
        assert refused.value.code == "text_too_long"
        assert not Vial.objects.exists()


class TestWidth:
    def test_more_digits_before_the_first_run(self, make_run):
        services.set_number_width(year=2026, digits=6)

        assert numbers_of(make_run(count=1)) == [number(1, digits=6)]

    def test_fixed_from_the_first_run_on(self, make_run):
        make_run()

        with pytest.raises(services.CannotSetWidth, match="4 digits"):
            services.set_number_width(year=2026, digits=5)
        assert NumberYear.objects.get(year=2026).digits == 4

    def test_no_other_width(self, db):
        with pytest.raises(services.CannotSetWidth):
            services.set_number_width(year=2026, digits=7)


class TestPrinter:
    def test_a_nudge_that_pushes_a_label_off_its_sheet_is_not_kept(self, lake):
        with pytest.raises(services.CannotSetPrinter, match="bottom"):
            services.set_printer(lake=lake, stock=SHEET, nudge=Nudge(down_mm=10))
        assert not lake.printers.exists()

    def test_the_last_one_counts(self, lake):
        services.set_printer(lake=lake, stock=SHEET, nudge=Nudge(right_mm=0.3))
        services.set_printer(lake=lake, stock=SHEET, nudge=Nudge(right_mm=-0.2, scale_down=1.005))

        printer = lake.printers.get()
        assert (printer.right_tenths_mm, printer.scale_down_per_mille) == (-2, 1005)


class TestIssue:
    def issue(self, lake, to, office, first, last):
        return services.issue(
            lake=lake, first=number(first), last=number(last), to=to, actor=office, now=NOW
        )

    def test_hands_out_the_whole_range_dated_and_signed(self, lake, season, guide, office):
        vials = make_vials(season, first=1, count=3, by=office)

        assert self.issue(lake, guide, office, 1, 3).count == 3
        for vial in vials:
            vial.refresh_from_db()
            assert (vial.state, vial.issued_to, vial.issued_at) == ("issued", guide, NOW)
            assert vial.history.get(state="issued").history_user == office

    def test_issuing_the_same_again_changes_nothing(self, lake, guide, office, vials):
        before = vials[0].history.count()

        assert self.issue(lake, guide, office, 1, 20).count == 0
        assert vials[0].history.count() == before

    def test_refuses_whole_and_names_what_stands_in_the_way(
        self, lake, guide, second_guide, office, vials
    ):
        with pytest.raises(services.CannotIssue) as refused:
            self.issue(lake, second_guide, office, 19, 22)

        words = str(refused.value)
        assert refused.value.code == "not_in_office"
        assert f"{vial_number.grouped(number(19))} (" in words
        assert "R. Ostrow" in words
        assert vial_number.grouped(number(20)) in words
        assert vial_number.grouped(number(21)) not in words
        vials[20].refresh_from_db()
        assert vials[20].state == "printed"

    def test_never_gives_away_another_lakes_vials(self, lake, other_lake, guide, office):
        make_vials(lake.seasons.get(), first=1, count=2, by=office)
        make_vials(other_lake.seasons.get(), first=3, count=2, by=office)

        with pytest.raises(services.CannotIssue) as refused:
            self.issue(lake, guide, office, 1, 4)
        assert (refused.value.code, refused.value.field) == ("other_lake", "last")

    @pytest.mark.parametrize(
        ("first", "last", "code"), [(1, 31, "unknown"), (5, 4, "backwards"), (1, 4000, "too_many")]
    )
    def test_a_range_that_is_none(self, lake, guide, office, vials, first, last, code):
        with pytest.raises(services.CannotIssue) as refused:
            self.issue(lake, guide, office, first, last)
        assert (refused.value.code, refused.value.field) == (code, "last")

    def test_only_to_those_who_log_fish_here(self, lake, office, stranger, vials):
        for person in (stranger, office):
            with pytest.raises(services.CannotIssue) as refused:
                self.issue(lake, person, office, 21, 22)
            assert refused.value.code == "not_logging"


class TestTakeBack:
    def test_leaves_the_used_ones_where_they_are(self, lake, office, vials, log_fish):
        log_fish(vials[1])

        back = services.return_vials(
            lake=lake, first=number(1), last=number(3), actor=office, now=NOW
        )

        assert (back.count, back.left_out) == (2, 1)
        states = [Vial.objects.get(pk=vial.pk).state for vial in vials[:3]]
        assert states == ["printed", "used", "printed"]
        assert Vial.objects.get(pk=vials[0].pk).issued_to is None

    def test_says_so_when_nobody_has_them(self, lake, office, vials):
        with pytest.raises(services.CannotReturnVials) as refused:
            services.return_vials(
                lake=lake, first=number(21), last=number(22), actor=office, now=NOW
            )
        assert refused.value.code == "not_in_hands"


class TestReceive:
    def receive(self, lake, office, typed, content=""):
        return services.receive(lake=lake, number=typed, content=content, actor=office, now=NOW)

    def test_moves_the_vial_and_its_fish_on(self, lake, office, vials, log_fish):
        fish = log_fish(vials[0])

        received = self.receive(lake, office, number(1), "two")

        vial = Vial.objects.get(pk=vials[0].pk)
        assert (received.first_time, received.has_log) == (True, True)
        assert (vial.state, vial.content, vial.received_by) == ("received", "two", office)
        assert vial.received_at == NOW
        fish.refresh_from_db()
        assert fish.progress == Progress.RECEIVED

    def test_takes_the_link_that_a_scanner_types_whatever_its_host(self, lake, office, vials):
        link = f"HTTPS://OLD.EXAMPLE/V/{number(2)}"

        assert self.receive(lake, office, link).vial == vials[1]

    def test_takes_a_vial_without_a_log(self, lake, office, vials):
        received = self.receive(lake, office, number(25))

        assert (received.first_time, received.has_log) == (True, False)
        assert received.vial.state == "received"

    def test_a_second_time_says_so_and_changes_nothing(self, lake, office, clerk, vials):
        self.receive(lake, office, number(1), "two")
        rows = vials[0].history.count()

        again = self.receive(lake, clerk, number(1))

        assert (again.first_time, again.content_in_question) == (False, "")
        assert (again.vial.content, again.vial.received_by) == ("two", office)
        assert vials[0].history.count() == rows

    @pytest.mark.parametrize("lost_meanwhile", [False, True])
    def test_a_second_time_another_content_is_asked_about_and_changes_nothing(
        self, lake, office, vials, lost_meanwhile
    ):
        self.receive(lake, office, number(1), "two")
        if lost_meanwhile:
            services.mark_lost(lake=lake, number=number(1), actor=office, now=NOW)

        again = self.receive(lake, office, number(1), "more_fish")

        assert (again.first_time, again.content_in_question) == (lost_meanwhile, "more_fish")
        assert Vial.objects.get(pk=vials[0].pk).content == "two"

    def test_a_change_of_content_is_recorded_and_can_be_undone(self, lake, office, clerk, vials):
        self.receive(lake, office, number(1), "two")
        vial = {"lake": lake, "number": number(1), "now": NOW}

        services.change_content(**vial, content="none", was="two", actor=clerk)
        services.change_content(**vial, content="two", was="none", actor=clerk)

        assert Vial.objects.get(pk=vials[0].pk).content == "two"
        rows = vials[0].history.order_by("history_id").values_list("content", "history_user")
        assert list(rows)[-3:] == [("two", office.pk), ("none", clerk.pk), ("two", clerk.pk)]

    def test_a_content_changed_by_somebody_meanwhile_is_not_written_over(self, lake, office, vials):
        self.receive(lake, office, number(1), "two")
        vial = {"lake": lake, "number": number(1), "actor": office, "now": NOW}
        services.change_content(**vial, content="broken", was="two")

        with pytest.raises(services.CannotReceive) as refused:
            services.change_content(**vial, content="none", was="two")

        assert refused.value.code == "changed"
        assert Vial.objects.get(pk=vials[0].pk).content == "broken"

    def test_a_vial_being_read_does_not_go_back_to_received(self, lake, office, vials):
        self.receive(lake, office, number(1))
        Vial.objects.filter(pk=vials[0].pk).update(state="read")

        assert not self.receive(lake, office, number(1)).first_time
        assert Vial.objects.get(pk=vials[0].pk).state == "read"

    def test_a_lost_vial_turns_up(self, lake, office, vials, log_fish):
        log_fish(vials[0])
        services.mark_lost(lake=lake, number=number(1), actor=office, now=NOW)

        assert self.receive(lake, office, number(1)).first_time
        assert Vial.objects.get(pk=vials[0].pk).state == "received"

    @pytest.mark.parametrize(
        ("typed", "code"),
        [
            ("26 0001 0", "wrong_check_digit"),
            ("26 A001 0", "not_digits"),
            ("14", "few_digits"),
            (number(900), "unknown"),
            (number(30), "void"),
            (number(31), "other_lake"),
        ],
    )
    def test_refuses_in_words(self, lake, other_lake, office, vials, typed, code):
        make_vials(other_lake.seasons.get(), first=31, count=1, by=office)
        services.void_vials(lake=lake, first=number(30), last=number(30), actor=office, now=NOW)

        with pytest.raises(services.CannotReceive) as refused:
            self.receive(lake, office, typed)
        assert (refused.value.code, refused.value.field) == (code, "number")
        assert not Vial.objects.filter(received_at__isnull=False).exists()


class TestMarks:
    def test_a_number_with_a_fish_is_never_made_void(self, lake, office, vials, log_fish):
        log_fish(vials[1])

        with pytest.raises(services.CannotMark, match="26 0002") as refused:
            services.void_vials(lake=lake, first=number(1), last=number(3), actor=office, now=NOW)
        assert refused.value.code == "logged"
        assert not Vial.objects.filter(state="void").exists()

    def test_bringing_back_finds_where_the_vial_stood(self, lake, office, vials, log_fish):
        log_fish(vials[0])
        services.receive(lake=lake, number=number(2), actor=office, now=NOW)
        cleared = Vial.objects.get(pk=vials[1].pk)
        cleared.state = Vial.State.CLEARING
        cleared.save()
        wanted = ["used", "clearing", "issued", "printed"]
        marked = [vials[0], vials[1], vials[2], vials[25]]
        for vial in marked:
            services.mark_lost(lake=lake, number=vial.number, note="boat", actor=office, now=NOW)
            services.bring_back(lake=lake, number=vial.number, actor=office, now=NOW)

        found = [Vial.objects.get(pk=vial.pk) for vial in marked]
        assert [vial.state for vial in found] == wanted
        assert {vial.note for vial in found} == {""}


class TestHowFarTheFishHasCome:
    """A fish whose otolith nobody has in hand does not count as collected."""

    @pytest.fixture
    def fish(self, lake, office, vials, log_fish):
        fish = log_fish(vials[0])
        services.receive(lake=lake, number=number(1), actor=office, now=NOW)
        return fish

    def progress(self, fish):
        fish.refresh_from_db()
        return Progress(fish.progress)

    def test_a_lost_vial_is_not_in_hand_until_it_is_brought_back(self, lake, office, fish):
        assert self.progress(fish) == Progress.RECEIVED
        services.mark_lost(lake=lake, number=number(1), actor=office, now=NOW)
        assert self.progress(fish) == Progress.MEASURED
        services.bring_back(lake=lake, number=number(1), actor=office, now=NOW)
        assert self.progress(fish) == Progress.RECEIVED

    def test_a_lost_vial_that_is_found_again_is_in_hand(self, lake, office, fish):
        services.mark_lost(lake=lake, number=number(1), actor=office, now=NOW)
        services.receive(lake=lake, number=number(1), actor=office, now=NOW)
        assert self.progress(fish) == Progress.RECEIVED

    @pytest.mark.parametrize("content", ["none", "wrong", "more_fish"])
    def test_a_vial_without_the_fishs_otolith_counts_for_nothing(
        self, lake, office, fish, vials, log_fish, content
    ):
        vial = {"lake": lake, "number": number(1), "actor": office, "now": NOW}
        services.change_content(**vial, content=content, was="")
        assert self.progress(fish) == Progress.MEASURED
        services.change_content(**vial, content="two", was=content)
        assert self.progress(fish) == Progress.RECEIVED
        first_seen_so = log_fish(vials[1])
        services.receive(lake=lake, number=number(2), content=content, actor=office, now=NOW)
        assert self.progress(first_seen_so) == Progress.MEASURED


def test_clerks_are_handed_vials_too(lake, vials, office):
    clerk = make_person(lake, "clerk", "B. Ferro")

    issued = services.issue(
        lake=lake, first=number(21), last=number(21), to=clerk, actor=office, now=NOW
    )

    assert issued.vials[0].issued_to == clerk
