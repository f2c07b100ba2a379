"""What guides read while the site is away, and what an administrator reads of it, word for word."""

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.test import Client

from fisheries import probes, work
from fisheries.database import database_from
from fisheries.environment import secret
from samples.management.move import CannotMove, move_all
from samples.models import User
from tests.operations.databases import another
from tests.operations.site import ROOT

SAFE = "Fish saved on this phone are safe"


@pytest.fixture
def server(tmp_path, transactional_db):
    with another(tmp_path, "server"):
        yield "server"


@pytest.mark.django_db
class TestPages:
    def test_the_site_is_away(self, guide):
        def away(*args, **kwargs):
            raise OperationalError("gone")

        browser = Client(raise_request_exception=False)
        browser.force_login(guide)
        with connection.execute_wrapper(away):
            page = browser.get("/ramp/", follow=True).content.decode()

        assert SAFE in page

    def test_a_form_that_is_too_large(self, client, biologist, lake, settings):
        settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
        client.force_login(biologist)

        page = client.post(f"/lakes/{lake.slug}/held/paste/", {"text": "x" * 200})

        assert "so it was not saved. Split it and send the parts." in page.content.decode()

    def test_a_host_that_is_not_set(self, client):
        page = client.get("/sign-in/", headers={"host": "10.0.0.7:8000"})

        assert "The site's log tells the administrator what to do." in page.content.decode()


@pytest.mark.parametrize("name", ["nginx.conf", "Caddyfile"])
def test_what_a_proxy_says_of_a_stopped_site(name):
    assert f"{SAFE}. They are sent when the site is back." in (ROOT / "docker" / name).read_text()


class TestProbes:
    @pytest.fixture(autouse=True)
    def ask_anew(self, monkeypatch):
        monkeypatch.setattr(probes, "KEPT_FOR_S", -1)

    @pytest.mark.django_db
    def test_what_is_looked_at(self, client, settings, tmp_path):
        settings.BACKUP_FOLDER, settings.WORKER = tmp_path, "apart"

        checks = client.get("/ready/").json()["checks"]

        assert checks["database"] == "reachable"
        assert checks["migrations"] == "as this version expects"
        assert checks["backup"] == "There is no backup yet."
        assert checks["worker"] == "No worker is running: findings wait. Start manage.py worker."


class TestSettings:
    def test_a_worker_of_no_such_kind(self):
        server = database_from("postgresql://earstone@localhost/earstone")
        with pytest.raises(ImproperlyConfigured, match="Set embedded, apart or none"):
            work.worker_from("thread", server)

    def test_redis_without_its_package(self, monkeypatch):
        server = database_from("postgresql://earstone@localhost/earstone")
        monkeypatch.setattr(work, "find_spec", lambda name: None)
        with pytest.raises(ImproperlyConfigured, match="install the package redis"):
            work.results_cache(server, redis="redis://localhost:6379/1", folder="")

    def test_a_secret_both_ways_or_in_no_file(self, tmp_path, monkeypatch):
        monkeypatch.setenv("EARSTONE_SECRET_KEY_FILE", str(tmp_path / "none"))
        monkeypatch.setenv("EARSTONE_SECRET_KEY", "x")
        with pytest.raises(ImproperlyConfigured, match="not both"):
            secret("EARSTONE_SECRET_KEY")
        monkeypatch.setenv("EARSTONE_SECRET_KEY", "")
        with pytest.raises(ImproperlyConfigured, match="cannot be read"):
            secret("EARSTONE_SECRET_KEY")


class TestMove:
    def test_a_database_that_is_not_empty(self, server):
        User.objects.using(server).create(username="here", display_name="H. Ere")

        with pytest.raises(CannotMove, match=r"is not empty: samples_user has rows\. Use a "):
            move_all("default", server, print)

    @pytest.mark.postgres
    @pytest.mark.django_db
    def test_the_sites_own_database(self, settings):
        own = settings.DATABASES["default"]
        with pytest.raises(CommandError, match="This is the site's own database"):
            call_command("move_to", f"postgresql:///{own['NAME']}?host={own['HOST']}")
