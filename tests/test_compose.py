"""What docker-compose.yml and the Dockerfile promise to whoever puts a site up."""

import json
import pathlib
import re
import shutil
import subprocess
from importlib import resources

import jsonschema
import pytest
import yaml
from django.core.management import load_command_class

from fisheries import __version__

ROOT = pathlib.Path(__file__).resolve().parent.parent
SECRET = re.compile(r"KEY|PASSWORD|SECRET|TOKEN|DATABASE_URL")


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
        assert "manage.py migrate --no-input" in services["migrate"]["command"][-1]

    @pytest.mark.parametrize("name", ["web", "database", "backup"])
    def test_whatever_runs_on_has_a_health_check(self, compose, name):
        assert compose["services"][name]["healthcheck"]["test"][0] == "CMD"

    @pytest.mark.parametrize("name", ["web", "worker", "migrate", "backup"])
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

    @pytest.mark.parametrize("name", ["web", "worker", "migrate", "database"])
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


class TestWorker:
    def test_runs_apart_on_the_tables_of_this_version(self, compose):
        worker, web = compose["services"]["worker"], compose["services"]["web"]
        command = load_command_class("samples", worker["command"][2])

        assert worker["command"][:2] == ["python", "manage.py"]
        assert command.create_parser("manage.py", "worker").parse_args([]).slots is None
        assert worker["environment"]["EARSTONE_WORKER"] == "${EARSTONE_WORKER:-apart}"
        assert worker["environment"] == web["environment"]
        assert worker["depends_on"]["migrate"]["condition"] == "service_completed_successfully"


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


RUNNING = ["database", "web", "worker", "nightly", "backup"]


class TestLimits:
    @pytest.mark.parametrize("name", RUNNING)
    def test_nothing_grows_without_end(self, compose, name):
        service = compose["services"][name]

        assert service["logging"]["options"] == {"max-size": "10m", "max-file": "5"}
        assert service["mem_limit"]
        assert service["cpus"]
        assert service["pids_limit"] > 0

    def test_the_site_may_end_what_it_answers(self, compose):
        words = (ROOT / "docker/gunicorn.conf.py").read_text(encoding="utf-8")
        answers_for = int(re.findall(r"^graceful_timeout = (\d+)$", words, re.MULTILINE)[0])

        assert compose["services"]["web"]["stop_grace_period"] == "40s"
        assert answers_for < 40

    @pytest.mark.parametrize("name", RUNNING)
    def test_signals_are_passed_on(self, compose, name):
        assert compose["services"][name]["init"] is True


class TestDatabase:
    @pytest.fixture
    def database(self, compose):
        return compose["services"]["database"]

    def test_is_reached_on_an_inner_network_alone(self, compose, database):
        assert database["networks"] == ["inside"]
        assert compose["networks"]["inside"] == {"internal": True}

    def test_runs_with_few_rights(self, database):
        assert database["cap_drop"] == ["ALL"]
        assert "SYS_ADMIN" not in database["cap_add"]
        assert database["read_only"] is True

    def test_logs_neither_statements_nor_rows(self, database):
        """Each setting is one of PostgreSQL's manual, section 19.8."""
        settings = dict(word.split("=", 1) for word in database["command"] if "=" in word)

        assert settings["log_min_error_statement"] == "panic"
        assert settings["log_parameter_max_length_on_error"] == "0"
        assert settings["log_parameter_max_length"] == "0"
        assert settings["log_error_verbosity"] == "terse"


class TestCommands:
    def test_files_come_in_by_a_folder_of_their_own(self, compose):
        manage = compose["services"]["manage"]

        assert manage["profiles"] == ["tools"]
        assert manage["entrypoint"] == ["python", "manage.py"]
        assert manage["volumes"][-1] == "${EARSTONE_FILES:-./files}:/files:ro"

    def test_a_first_password_reaches_set_up_lake_and_no_service_that_runs_on(self, compose):
        having = [
            name
            for name, service in compose["services"].items()
            if "EARSTONE_PASSWORD" in service.get("environment", {})
        ]

        assert having == ["manage"]

    def test_the_image_has_the_version_as_its_tag(self, compose):
        assert compose["services"]["web"]["image"] == f"earstone:{__version__}"

    def test_styles_of_the_last_version_are_kept_in_a_volume(self, compose, dockerfile):
        migrate = compose["services"]["migrate"]

        assert "static:/earstone/staticfiles" in migrate["volumes"]
        assert "publish_static_files" in migrate["command"][-1]
        assert re.search(r"chown -R earstone\b.* staticfiles", dockerfile)


class TestSecrets:
    def test_no_secret_stands_in_an_environment(self, compose):
        settings = {
            name: value
            for service in compose["services"].values()
            for name, value in service["environment"].items()
            if SECRET.search(name) and not name.endswith("_FILE")
        }

        assert settings.pop("DATABASE_URL") == "postgresql://earstone@database:5432/earstone"
        # Empty but for the day of a change, and for one command.
        assert settings == {
            "EARSTONE_OLD_SECRET_KEYS": "${EARSTONE_OLD_SECRET_KEYS:-}",
            "EARSTONE_PASSWORD": "${EARSTONE_PASSWORD:-}",
        }

    def test_every_secret_is_a_file_that_its_services_are_given(self, compose):
        for service in compose["services"].values():
            for name, value in service["environment"].items():
                if name.endswith("_FILE"):
                    folder, _, secret = value.rpartition("/")
                    assert folder == "/run/secrets"
                    assert secret in service["secrets"]
                    assert compose["secrets"][secret]["file"].startswith("./secrets/")

    def test_one_command_makes_them(self, compose, tmp_path):
        (tmp_path / "docker").mkdir()
        script = shutil.copy(ROOT / "docker/make_env.sh", tmp_path / "docker/make_env.sh")
        done = [
            subprocess.run(["sh", script, host], capture_output=True, text=True, check=False)
            for host in ("https://samples.example.org", "samples.example.org", "other.example.org")
        ]
        made = {file.name: file.read_text() for file in (tmp_path / "secrets").iterdir()}

        assert [one.returncode for one in done] == [1, 0, 1]
        assert "sh docker/make_env.sh" in done[0].stderr
        assert "secrets" in done[2].stderr
        assert set(made) == set(compose["secrets"])
        assert made.pop("mail_password") == ""
        assert all(re.fullmatch("[A-Za-z0-9]{40,}", words) for words in made.values())
        asked = re.findall(r"\$\{([A-Z_]+):\?", (ROOT / "docker-compose.yml").read_text())
        given = re.findall(r"^([A-Z_]+)=", (tmp_path / ".env").read_text(), re.MULTILINE)
        assert set(given) == set(asked)
        assert (tmp_path / "secrets").stat().st_mode & 0o077 == 0

    def test_the_image_keeps_no_secret(self, dockerfile):
        kept = re.findall(r"^(?:ENV|ARG) .*", dockerfile, re.MULTILINE)

        assert [line for line in kept if SECRET.search(line)] == []
