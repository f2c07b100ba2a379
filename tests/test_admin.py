"""The administrator's pages: who gets in, their policy, and that each list opens."""

from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.contrib import admin
from django.urls import reverse

from samples.models import Fish, Party, Revision, StoredResult, User
from tests.chromium import DESK
from tests.factories import make_fish
from tests.people import CAUGHT_ON

BACKEND = "django.contrib.auth.backends.ModelBackend"
INDEX = "/office/admin/"


@pytest.fixture
def administrator(db):
    return User.objects.create_superuser("root", password="a long password", display_name="Root")


@pytest.fixture
def fish(party, white, vials):
    return make_fish(party, white, vial=vials[0], sex="U", donor=None)


def list_of(model):
    return reverse(f"admin:samples_{model._meta.model_name}_changelist")


def tables():
    return [model for model in admin.site._registry if model._meta.app_label == "samples"]


class TestWhoGetsIn:
    @pytest.mark.parametrize("path", [INDEX, f"{INDEX}login/", f"{INDEX}samples/fish/"])
    def test_a_biologist_gets_nothing(self, client, biologist, path):
        client.force_login(biologist, backend=BACKEND)

        assert client.get(path).status_code == 403

    def test_nobody_is_sent_to_the_one_page_for_signing_in(self, client, db):
        answer = client.get(f"{INDEX}samples/fish/", follow=True)

        assert answer.redirect_chain[-1][0].startswith("/sign-in/?next=/office/admin/")

    def test_signing_in_leads_back(self, client, administrator):
        words = {"username": "root", "password": "a long password"}

        answer = client.post(f"/sign-in/?next={INDEX}", words, follow=True)

        assert answer.request["PATH_INFO"] == INDEX
        assert answer.status_code == 200


class TestLists:
    def test_every_table_is_there(self):
        from django.apps import apps

        own = {
            model
            for model in apps.get_app_config("samples").get_models()
            if not model.__name__.startswith("Historical")
        }

        # Pages as they were worked out, and marks of the data they are of: for programs to read.
        assert own - {StoredResult, Revision} == set(tables())

    def test_each_list_and_its_row_opens(self, client, administrator, fish):
        client.force_login(administrator, backend=BACKEND)

        for model in tables():
            assert client.get(list_of(model)).status_code == 200, model
            row = model.objects.first()
            if row is not None:
                path = reverse(f"admin:samples_{model._meta.model_name}_change", args=[row.pk])
                assert client.get(path).status_code == 200, model

    @pytest.mark.parametrize("name", ["fish", "vial"])
    def test_is_searched_by_vial_number(self, client, administrator, fish, vials, name):
        client.force_login(administrator, backend=BACKEND)
        path = reverse(f"admin:samples_{name}_changelist")

        found = client.get(path, {"q": fish.vial.number}).context["cl"].result_count
        lost = client.get(path, {"q": "2699999"}).context["cl"].result_count

        assert (found, lost) == (1, 0)

    def test_fish_are_neither_made_nor_taken_out(self, client, administrator, fish):
        client.force_login(administrator, backend=BACKEND)

        assert client.get("/office/admin/samples/fish/add/").status_code == 403
        assert client.post(f"/office/admin/samples/fish/{fish.pk}/delete/").status_code == 403
        assert Fish.objects.filter(pk=fish.pk).exists()


class TestLocks:
    def test_a_locked_sign_in_is_unlocked_on_a_page(self, client, administrator, biologist):
        biologist.set_password("a long password")
        biologist.save()
        words = {"username": biologist.username, "password": "wrong"}
        for _ in range(10):
            locked = client.post("/sign-in/", words)
        client.force_login(administrator, backend=BACKEND)
        page = f"{INDEX}axes/accessattempt/"
        listed = client.get(page).content.decode()
        [row] = AccessAttempt.objects.values_list("pk", flat=True)
        chosen = {"action": "delete_selected", "_selected_action": row, "post": "yes"}
        client.post(page, chosen)
        client.logout()

        answer = client.post("/sign-in/", words | {"password": "a long password"})

        assert locked.status_code == 429
        assert biologist.username in listed
        assert answer.status_code == 302


class TestPolicy:
    def test_styles_within_the_page_are_let_through_here_alone(self, client, administrator, lake):
        client.force_login(administrator, backend=BACKEND)

        here = client.get(f"{INDEX}samples/fish/")["Content-Security-Policy"]
        elsewhere = client.get("/sign-in/")["Content-Security-Policy"]

        assert "style-src 'self' 'unsafe-inline'" in here
        assert "script-src 'self';" in f"{here};"
        assert "unsafe-inline" not in elsewhere

    @pytest.mark.browser
    def test_pages_work_under_it(self, open_page, administrator, fish):
        page = open_page(DESK, user=administrator)

        for path in (INDEX, list_of(Fish), f"{INDEX}samples/fish/{fish.pk}/history/"):
            assert page.goto(path).status == 200
        page.goto(f"{INDEX}samples/fish/{fish.pk}/change/")
        page.select_option("#id_sex", "F")
        page.click("[name=_save]")

        fish.refresh_from_db()
        assert fish.sex == "F"


def test_a_repaired_catch_date_reaches_the_fish_of_the_party(fish, administrator, rf):
    party = fish.party
    party.caught_on = CAUGHT_ON - timedelta(days=3)
    request = rf.post("/")
    request.user = administrator

    admin.site._registry[Party].save_model(request, party, None, True)

    fish.refresh_from_db()
    assert fish.caught_on == CAUGHT_ON - timedelta(days=3)
