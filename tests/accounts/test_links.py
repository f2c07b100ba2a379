"""A guide's personal link: opened by previews, used by people, taken back by the biologist."""

import logging
from datetime import UTC, date, datetime, timedelta

import pytest
from axes.models import AccessLog
from django.test import Client
from django.utils import timezone

from fisheries.logs import PlainFormatter
from samples.accounts.links import (
    LinkRefused,
    day_of_links,
    days_for_link,
    make_link,
    make_phone,
    open_link,
    revoke_link,
)
from samples.models import PersonalLink, Phone
from tests.shown import error_codes, message_tags

LATER = timezone.now().date() + timedelta(days=300)


@pytest.fixture
def link(guide, biologist):
    return make_link(guide, made_by=biologist, good_until=LATER, now=timezone.now())


def address(link):
    return f"/me/{link.token}/"


def is_signed_in(client):
    return "_auth_user_id" in client.session


class TestPersonalLink:
    def test_looking_at_it_signs_nobody_in_and_uses_nothing_up(self, link):
        for _ in range(3):
            preview = Client()
            page = preview.get(address(link))
            assert "R. Ostrow" in page.content.decode()
            assert not is_signed_in(preview)
        assert Client().head(address(link)).status_code == 200

        phone = Client()
        phone.post(address(link))
        assert is_signed_in(phone)

    def test_works_on_a_second_phone_too(self, link):
        phones = [Client(), Client()]

        for phone in phones:
            phone.post(address(link))

        assert all(is_signed_in(phone) for phone in phones)

    def test_keeps_the_phone_signed_in_for_the_season(self, link):
        phone = Client()
        phone.post(address(link))

        assert timedelta(seconds=phone.session.get_expiry_age()) > timedelta(days=299)

    def test_only_its_digest_is_kept(self, link):
        kept = PersonalLink.objects.get()

        assert link.token not in str(vars(kept))
        assert len(kept.token_sha256) == 64

    @pytest.mark.parametrize(
        ("change", "code"),
        [
            ({"good_until": date(2020, 1, 1)}, "expired"),
            ({"revoked_at": timezone.now()}, "revoked"),
            ({"token_sha256": "0" * 64}, "unknown"),
        ],
    )
    def test_a_link_that_does_not_hold_says_what_to_do(self, link, change, code):
        PersonalLink.objects.update(**change)
        phone = Client()

        answers = [phone.get(address(link)), phone.post(address(link))]

        for answer in answers:
            assert answer.status_code == 410
            problem = answer.context["problem"]
            assert problem.code == code
            assert str(problem) in answer.content.decode()
        assert not is_signed_in(phone)

    def test_taking_it_back_ends_its_sessions_and_its_phones_at_once(self, link, guide):
        phone = Client()
        phone.post(address(link))
        make_phone(guide, now=timezone.now(), link=link.link)

        revoke_link(link.link, now=timezone.now())

        assert phone.get("/ramp/mine/")["Location"].startswith("/sign-in/")
        assert Phone.objects.get().revoked_at is not None

    def test_another_link_of_the_same_person_lives_on(self, link, guide, biologist):
        other = make_link(guide, made_by=biologist, good_until=LATER, now=timezone.now())
        phone = Client()
        phone.post(address(other))

        revoke_link(link.link, now=timezone.now())

        assert phone.get("/ramp/mine/").status_code == 200


class TestHowLong:
    """A link lives a season and 60 days at most: 366 + 60 days, whatever the season says."""

    @pytest.mark.parametrize("season_ends", ["2026-10-31", "9999-12-31"])
    def test_the_last_day_is_60_days_after_the_season(self, lake, season_ends):
        lake.seasons.update(ends_on=season_ends)

        usual, last = days_for_link(lake, today=date(2026, 5, 6))

        assert last - usual == timedelta(days=60)
        assert usual == min(date.fromisoformat(season_ends), date(2027, 5, 7))

    def test_without_a_season_ahead_it_is_counted_from_the_end_of_the_year(self, lake):
        assert days_for_link(lake, today=date(2027, 5, 6))[1] == date(2028, 2, 29)

    def test_a_later_day_is_refused_beside_the_field(self, client, biologist, guide):
        client.force_login(biologist)

        answer = client.post(
            f"/lakes/lake-orrinbeck/people/{guide.pk}/", {"good_until": "9999-12-31"}
        )

        assert answer.status_code == 422
        assert error_codes(answer) == {"good_until": ["too_late"]}
        assert not PersonalLink.objects.exists()

    def test_one_made_without_a_limit_signs_in_and_ends_by_it(self, guide, biologist):
        now = timezone.now()
        link = make_link(guide, made_by=biologist, good_until=date(9999, 12, 31), now=now)
        phone = Client()

        answer = phone.post(address(link))

        assert answer.status_code == 302
        assert is_signed_in(phone)
        assert link.link.last_day == now.date() + timedelta(days=426)
        with pytest.raises(LinkRefused) as refused:
            open_link(link.token, today=now.date() + timedelta(days=427))
        assert refused.value.code == "expired"


class TestWhoMayHaveOne:
    @pytest.mark.parametrize("who", ["office", "clerk", "reader", "biologist"])
    def test_nobody_but_a_guide_gets_a_link(self, who, request, biologist):
        person = request.getfixturevalue(who)

        with pytest.raises(LinkRefused) as refused:
            make_link(person, made_by=biologist, good_until=LATER, now=timezone.now())

        assert refused.value.code == "staff"

    def test_a_guide_who_is_the_administrator_too_gets_none(self, guide, biologist):
        guide.is_superuser = guide.is_staff = True
        guide.save()

        with pytest.raises(LinkRefused):
            make_link(guide, made_by=biologist, good_until=LATER, now=timezone.now())

    def test_a_guide_who_joined_the_office_signs_in_by_the_old_link_no_more(
        self, link, guide, lake
    ):
        guide.memberships.create(lake=lake, role="office")
        phone = Client()

        assert phone.post(address(link)).status_code == 410
        assert not is_signed_in(phone)

    def test_a_guide_who_joined_the_office_does_not_stay_signed_in_by_the_link(
        self, link, guide, lake
    ):
        phone = Client()
        phone.post(address(link))
        before = phone.get("/ramp/mine/").status_code

        guide.memberships.create(lake=lake, role="office")

        assert before == 200
        assert phone.get("/lakes/lake-orrinbeck/labels/")["Location"].startswith("/sign-in/")

    def test_the_page_of_staff_offers_none_and_makes_none(self, client, biologist, office):
        client.force_login(biologist)
        page = f"/lakes/lake-orrinbeck/people/{office.pk}/"

        shown = client.get(page).content.decode()
        answer = client.post(page, {"good_until": LATER.isoformat()})

        assert 'name="good_until"' not in shown
        assert answer.status_code == 422
        assert not PersonalLink.objects.exists()


class TestSecrecy:
    def test_the_page_of_a_link_is_told_to_nobody_as_a_referrer(self, link):
        good = Client().get(address(link))
        bad = Client().get("/me/nonsense/")

        assert good["Referrer-Policy"] == bad["Referrer-Policy"] == "no-referrer"

    @pytest.mark.parametrize(("token", "status"), [(True, 302), (False, 403)])
    def test_its_button_works_by_the_token_of_the_form(self, link, token, status):
        """A browser sends "null" as the origin from a page that tells no referrer."""
        phone = Client(enforce_csrf_checks=True)
        page = phone.get(address(link)).content.decode()
        words = page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]

        answer = phone.post(
            address(link),
            {"csrfmiddlewaretoken": words} if token else {},
            headers={"origin": "null"},
        )

        assert answer.status_code == status

    def test_no_log_and_no_table_keeps_the_address_of_a_link(self, link, caplog):
        record = logging.LogRecord(
            "django.request", logging.WARNING, "", 0, "Gone: %s", (address(link),), None
        )
        line = PlainFormatter().format(record)
        Client().post(address(link))

        assert link.token not in line
        assert line.endswith("django.request: Gone: /me/.../")
        assert not AccessLog.objects.exists()

    def test_a_link_is_good_to_the_end_of_its_day_at_the_lake(self, guide, biologist):
        last_day = date(2026, 10, 18)
        new = make_link(guide, made_by=biologist, good_until=last_day, now=timezone.now())
        # Half past ten in the evening at the lake; the next day already in Greenwich.
        evening = datetime(2026, 10, 19, 3, 30, tzinfo=UTC)

        assert open_link(new.token, today=day_of_links(evening)) == new.link


class TestPeoplePages:
    @pytest.fixture
    def desk(self, client, biologist):
        client.force_login(biologist)
        return client

    def test_a_new_link_is_shown_once_with_its_code(self, desk, guide):
        page = f"/lakes/lake-orrinbeck/people/{guide.pk}/"

        day = timezone.now().date() + timedelta(days=30)
        made = desk.post(page, {"good_until": day.isoformat()}).content.decode()
        later = desk.get(page).content.decode()

        assert "/me/" in made
        assert "<svg" in made
        assert "/me/" not in later
        assert "Revoke" in later

    def test_a_second_tap_shows_the_same_link_and_the_next_page_makes_another(self, desk, guide):
        page = f"/lakes/lake-orrinbeck/people/{guide.pk}/"
        form = desk.get(page).context["form"]
        asked = {name: str(form[name].value()) for name in ("request_id", "good_until")}

        first, second = (desk.post(page, asked) for _ in range(2))
        assert first.context["fresh"] == second.context["fresh"]
        assert PersonalLink.objects.count() == 1

        asked["request_id"] = str(second.context["form"]["request_id"].value())
        assert desk.post(page, asked).context["fresh"] != first.context["fresh"]

    def test_a_past_day_is_refused_beside_its_field(self, desk, guide):
        answer = desk.post(
            f"/lakes/lake-orrinbeck/people/{guide.pk}/", {"good_until": "2020-01-01"}
        )

        assert answer.status_code == 422
        assert error_codes(answer) == {"good_until": ["over"]}
        assert not PersonalLink.objects.exists()

    def test_a_new_guide_is_a_donor_and_needs_no_password(self, desk, lake):
        desk.post("/lakes/lake-orrinbeck/people/", {"display_name": "B. Carrow", "role": "guide"})

        membership = lake.memberships.get(person__display_name="B. Carrow")
        assert membership.role == "guide"
        assert not membership.person.has_usable_password()
        assert membership.person.donor_rows.get().name == "B. Carrow"

    @pytest.mark.parametrize(
        ("words", "code"),
        [
            ({"username": ""}, "required"),
            ({"password": ""}, "required"),
            ({"password": "short"}, "password_too_short"),
            ({"display_name": ""}, "required"),
            ({"username": "n-aubrey"}, "name_taken"),
        ],
        ids=lambda value: str(value),
    )
    def test_bad_input_for_staff_is_answered_and_kept(self, desk, lake, words, code):
        good = {
            "display_name": "B. Carrow",
            "role": "office",
            "username": "carrow",
            "password": "pale rings on slate",
        }

        answer = desk.post("/lakes/lake-orrinbeck/people/", good | words)

        assert answer.status_code == 422
        assert error_codes(answer) == {name: [code] for name in words}
        assert not lake.memberships.filter(role="office").exists()

    def test_another_lakes_person_is_not_there(self, desk, stranger):
        assert desk.get(f"/lakes/lake-orrinbeck/people/{stranger.pk}/").status_code == 404
        assert desk.get(f"/lakes/tamsin-reservoir/people/{stranger.pk}/").status_code == 404

    def test_the_last_biologist_keeps_the_role(self, desk, biologist):
        membership = biologist.memberships.get()

        told = desk.post(
            f"/lakes/lake-orrinbeck/people/{biologist.pk}/roles/{membership.pk}/take-away/",
            follow=True,
        )

        assert message_tags(told) == ["last_biologist error"]
        assert biologist.memberships.exists()

    def test_taking_a_role_away_closes_the_lake(self, desk, client, lake, office):
        membership = office.memberships.get()

        desk.post(f"/lakes/lake-orrinbeck/people/{office.pk}/roles/{membership.pk}/take-away/")

        client.force_login(office)
        assert client.get("/lakes/lake-orrinbeck/").status_code == 404
