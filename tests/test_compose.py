"""What docker-compose.yml and the Dockerfile promise to whoever puts a site up."""

import json
import pathlib
import re
from importlib import resources

import jsonschema
import pytest
import yaml

ROOT = pathlib.Path(__file__).resolve().parent.parent
SECRET = re.compile(r"KEY|PASSWORD|SECRET|TOKEN|DATABASE_URL")
ASKED_FOR = re.compile(r"\$\{[A-Z_]+:\?[^}]+\}")


@pytest.fixture(scope="module")
def compose():
    return yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def schema():
    # The Compose Specification's own schema, as check-jsonschema carries it.
    folder = resources.files("check_jsonschema").joinpath("builtin_schemas", "vendor")
    return json.loads(folder.joinpath("compose-spec.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def dockerfile():
    return (ROOT / "Dockerfile").read_text(encoding="utf-8")


class TestSchema:
    def test_is_a_valid_compose_file(self, compose, schema):
        jsonschema.validate(compose, schema)

    def test_the_schema_refuses_a_misspelt_key(self, compose, schema):
        compose = {**compose, "services": {"web": {"image": "earstone", "helthcheck": {}}}}

        with pytest.raises(jsonschema.ValidationError, match="helthcheck"):
            jsonschema.validate(compose, schema)


class TestServices:
    def test_the_site_waits_for_the_database_and_its_tables(self, compose):
        services = compose["services"]

        assert services["web"]["depends_on"] == {
            "database": {"condition": "service_healthy"},
            "migrate": {"condition": "service_completed_successfully"},
        }
        assert services["migrate"]["restart"] == "no"
        assert "migrate" in services["migrate"]["command"]

    @pytest.mark.parametrize("name", ["web", "database"])
    def test_whatever_runs_on_has_a_health_check(self, compose, name):
        assert compose["services"][name]["healthcheck"]["test"][0] == "CMD"

    @pytest.mark.parametrize("name", ["web", "migrate"])
    def test_our_code_runs_without_rights(self, compose, dockerfile, name):
        service = compose["services"][name]

        assert int(service["user"]) > 0
        assert service["cap_drop"] == ["ALL"]
        assert service["read_only"] is True
        assert f"useradd --uid {service['user']} " in dockerfile

    def test_the_image_itself_does_not_end_as_root(self, dockerfile):
        users = re.findall(r"^USER (\S+)$", dockerfile, re.MULTILINE)

        assert users == ["earstone"]
        assert dockerfile.index("\nUSER ") < dockerfile.index("\nCMD ")

    def test_the_database_is_not_reached_from_outside(self, compose):
        assert "ports" not in compose["services"]["database"]

    def test_the_database_keeps_its_data_in_a_volume(self, compose):
        volume, _, inside = compose["services"]["database"]["volumes"][0].partition(":")

        assert volume in compose["volumes"]
        assert inside == "/var/lib/postgresql"


class TestSecrets:
    def test_every_secret_must_come_from_the_environment(self, compose):
        settings = [
            (service, name, value)
            for service, said in compose["services"].items()
            for name, value in said["environment"].items()
            if SECRET.search(name)
        ]

        assert {name for _, name, _ in settings} >= {"EARSTONE_SECRET_KEY", "POSTGRES_PASSWORD"}
        assert [said for said in settings if not ASKED_FOR.search(said[2])] == []

    def test_the_image_keeps_no_secret(self, dockerfile):
        kept = re.findall(r"^(?:ENV|ARG) .*", dockerfile, re.MULTILINE)

        assert [line for line in kept if SECRET.search(line)] == []
