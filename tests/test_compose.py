"""What docker-compose.yml and the Dockerfile promise to whoever puts a site up."""

import json
import pathlib
import re
from importlib import resources

import jsonschema
import pytest
import yaml
from django.core.management import load_command_class

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


def stages(dockerfile):
    """Return the lines of each image that the Dockerfile makes, by its name."""
    found = {}
    for part in re.split(r"^(?=FROM )", dockerfile, flags=re.MULTILINE)[1:]:
        lines = part.splitlines()
        name = re.search(r" AS (\w+)$", lines[0])
        found[name[1] if name else ""] = lines
    return found


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

    @pytest.mark.parametrize("name", ["web", "database", "backup"])
    def test_whatever_runs_on_has_a_health_check(self, compose, name):
        assert compose["services"][name]["healthcheck"]["test"][0] == "CMD"

    @pytest.mark.parametrize("name", ["web", "migrate", "backup"])
    def test_our_code_runs_without_rights(self, compose, dockerfile, name):
        service = compose["services"][name]

        assert int(service["user"]) > 0
        assert service["cap_drop"] == ["ALL"]
        assert service["read_only"] is True
        assert f"useradd --uid {service['user']} " in dockerfile

    @pytest.mark.parametrize("stage", ["site", "backup"])
    def test_no_image_ends_as_root(self, dockerfile, stage):
        lines = stages(dockerfile)[stage]
        users = [line for line in lines if line.startswith("USER ")]
        commands = [line for line in lines if line.startswith("CMD ")]

        assert users == ["USER earstone"]
        assert lines.index(users[0]) < lines.index(commands[0])

    def test_the_site_is_built_where_no_image_is_named(self, dockerfile):
        assert dockerfile.rstrip().splitlines()[-1] == "FROM site"

    def test_the_database_is_not_reached_from_outside(self, compose):
        assert "ports" not in compose["services"]["database"]

    def test_the_database_keeps_its_data_in_a_volume(self, compose):
        volume, _, inside = compose["services"]["database"]["volumes"][0].partition(":")

        assert volume in compose["volumes"]
        assert inside == "/var/lib/postgresql"

    @pytest.mark.parametrize("name", ["web", "migrate", "database"])
    def test_whatever_runs_has_a_limit_of_memory(self, compose, name):
        assert re.fullmatch(
            r"\$\{EARSTONE_[A-Z]+_MEMORY:-\d+[mg]\}", compose["services"][name]["mem_limit"]
        )

    def test_images_of_others_are_pinned_to_a_minor_version(self, compose, dockerfile):
        images = [compose["services"]["database"]["image"]]
        images += re.findall(r"^FROM (\S+:\S+)", dockerfile, re.MULTILINE)

        assert len(images) > 1
        assert [one for one in images if not re.search(r":\d+\.\d+", one)] == []

    def test_figures_have_a_folder_to_write_to(self, compose, dockerfile):
        web = compose["services"]["web"]
        [folder] = re.findall(r"MPLCONFIGDIR=(/[a-z]+)/", dockerfile)

        assert folder in " ".join(web.get("tmpfs", []) + web.get("volumes", []))

    def test_the_site_is_not_the_superuser_of_a_new_volume(self, compose):
        database = compose["services"]["database"]
        site = compose["services"]["web"]["environment"]["DATABASE_URL"]

        assert database["environment"]["POSTGRES_USER"] == "postgres"
        assert site.startswith("postgresql://earstone")
        assert "./docker/database:/docker-entrypoint-initdb.d:ro" in database["volumes"]


class TestBackups:
    """No engine runs here: what holds a backup together in the files is looked at instead."""

    @pytest.fixture
    def backup(self, compose):
        return compose["services"]["backup"]

    def test_are_dumped_by_the_servers_own_version(self, compose, dockerfile):
        server = compose["services"]["database"]["image"]
        major = server.removeprefix("postgres:").split("-")[0].split(".")[0]

        assert f"FROM {server} AS backup" in dockerfile
        assert f"EARSTONE_PG_TOOLS=/usr/lib/postgresql/{major}/bin" in dockerfile

    def test_run_the_packages_of_the_site_on_the_same_debian_and_python(self, dockerfile):
        site, backup = (stages(dockerfile)[name][0] for name in ("site", "backup"))
        version, _, debian = site.split()[1].removeprefix("python:").split("-")

        # The Python that this Debian brings, by its own release notes.
        assert (version, debian) == ("3.13", "trixie")
        assert backup.endswith(f"-{debian} AS backup")
        assert f"python{version}/site-packages /usr/local/lib/python{version}/dist-" in dockerfile

    def test_run_a_command_that_is_there(self, backup):
        words = [re.sub(r"\$\{[A-Z_]+:-(.*)\}", r"\1", word) for word in backup["command"]]
        parser = load_command_class("samples", "backup").create_parser("manage.py", "backup")

        options = parser.parse_args(words[words.index("backup") + 1 :])

        assert words[:3] == ["python3", "manage.py", "backup"]
        assert options.nightly is not None
        assert options.keep >= 7

    def test_are_kept_in_a_volume_that_outlives_the_container(self, compose, backup, dockerfile):
        volume, _, inside = backup["volumes"][0].rpartition(":")

        assert volume == "${EARSTONE_BACKUP_FOLDER:-backups}"
        assert "backups" in compose["volumes"]
        assert f"EARSTONE_BACKUPS={inside}" in dockerfile
        assert f"--owner=earstone --mode=0700 {inside}" in dockerfile

    def test_restoring_does_not_fill_the_database_first(self, backup):
        """`docker compose run backup` starts what it depends on: not the migrations."""
        assert list(backup["depends_on"]) == ["database"]

    def test_stop_when_they_are_told_to(self, backup):
        assert backup["init"] is True


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
