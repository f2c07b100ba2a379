"""The log: what each line begins with, what never stands in it, and how long it gets."""

import json
import logging
import re

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db import IntegrityError, OperationalError, connection, transaction

from fisheries.environment import secret
from fisheries.logs import (
    FewOutages,
    JsonFormatter,
    OneLinePerFailure,
    PlainFormatter,
    logging_config,
    request_in_log,
)
from tests.factories import make_fish

LINE = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z (WARNING|ERROR) [0-9a-f-]+ [\w.]+: .+")


def record_of(message, problem=None, *, name="samples", **more):
    error = (type(problem), problem, problem.__traceback__) if problem else None
    record = logging.LogRecord(name, logging.ERROR, __file__, 1, message, (), error)
    record.__dict__.update(more)
    return record


def caught(work):
    try:
        work()
    except Exception as problem:
        return problem
    raise AssertionError("Nothing was raised.")


@pytest.fixture
def row_error(party, white, vials):
    """Return the database's own error about a row: a second fish in one vial."""

    def log_fish():
        with transaction.atomic():
            make_fish(party, white, vial=vials[0])

    log_fish()
    problem = caught(log_fish)
    assert isinstance(problem, IntegrityError)
    return problem


class TestLines:
    def test_every_line_has_a_time_and_a_level(self):
        line = PlainFormatter().format(record_of("One\ntwo", caught(lambda: 1 / 0)))

        assert LINE.fullmatch(line)
        assert " samples: One two | ZeroDivisionError: " in line

    def test_a_line_says_which_of_our_lines_failed(self):
        def inner():
            raise ValueError("odd")

        line = PlainFormatter().format(record_of("Stumbled", caught(inner)))

        assert re.search(r"at tests/operations/test_logs\.py:\d+ inner < tests/oper", line)

    def test_lines_of_one_request_share_its_id(self):
        with request_in_log() as logged:
            lines = [PlainFormatter().format(record_of(word)) for word in ("one", "two")]

        assert all(f" {logged.id} " in line for line in lines)
        assert " - samples: " in PlainFormatter().format(record_of("outside"))

    def test_json_by_setting(self):
        with request_in_log() as logged:
            line = JsonFormatter().format(record_of('a "word"\nand more'))

        words = json.loads(line)
        assert (words["level"], words["request"]) == ("ERROR", logged.id)
        assert words["message"] == 'a "word"\nand more'
        assert "\n" not in line

    @pytest.mark.parametrize("level", ["info", "INFO", "Warning"])
    def test_a_level_is_taken_in_any_case(self, level):
        assert logging_config(level, "plain")["root"]["level"] == level.upper()

    @pytest.mark.parametrize(("level", "form"), [("loud", "plain"), ("info", "xml")])
    def test_an_unknown_setting_is_named(self, level, form):
        with pytest.raises(ValueError, match=r"EARSTONE_LOG_(LEVEL is 'loud'|FORMAT is 'xml')"):
            logging_config(level, form)


class TestSecrets:
    @pytest.mark.parametrize("form", [PlainFormatter, JsonFormatter])
    def test_a_link_is_left_out_of_words_and_traces(self, form):
        def stumble():
            raise LookupError("no page /me/aB3-secret_token/ here")

        line = form().format(record_of("Not found: /me/aB3-secret_token/", caught(stumble)))

        assert "secret" not in line
        assert line.count("/me/...") == 2

    @pytest.mark.parametrize("form", [PlainFormatter, JsonFormatter])
    def test_the_contents_of_a_row_are_left_out(self, form, row_error, vials):
        line = form().format(record_of("A run of 2 fish could not be taken", row_error))

        assert "IntegrityError" in line
        assert "DETAIL" not in line
        assert not re.search(rf"\b{vials[0].pk}\b.*already exists|{vials[0].number}", line)

    @pytest.mark.postgres
    @pytest.mark.django_db
    @pytest.mark.parametrize(
        "statement",
        [
            "SELECT 'Cove by the old mill'::integer",
            "INSERT INTO django_session (session_key) VALUES ('Cove by the old mill')",
            'SELECT "Cove by the old mill" FROM django_session',
        ],
    )
    def test_what_postgresql_adds_is_left_out(self, statement):
        def execute():
            with transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(statement)

        problem = caught(execute)
        assert "old mill" in str(problem)
        lines = [form().format(record_of("x", problem)) for form in (PlainFormatter, JsonFormatter)]
        assert re.findall(r"LINE 1|DETAIL|Failing row", "".join(lines)) == []


class TestHowMany:
    def test_a_failed_request_has_one_line(self):
        once = OneLinePerFailure()
        with request_in_log():
            first = once.filter(record_of("Entry could not be taken"))
            second = once.filter(record_of("Service Unavailable", name="django.request"))
        with request_in_log():
            next_request = once.filter(record_of("Server Error", name="django.request"))

        assert (first, second, next_request) == (True, False, True)

    def test_an_outage_of_thirty_seconds_stays_below_two_hundred_lines(self, monkeypatch):
        """Four workers, ten failed requests a second each."""
        clock = iter(range(1200))
        monkeypatch.setattr("fisheries.logs.time.monotonic", lambda: next(clock) / 10)
        workers = [FewOutages() for _ in range(4)]
        lines = []
        for worker in workers:
            for _ in range(290):
                record = record_of("Service Unavailable: /api/v1/outbox/", status_code=503)
                if worker.filter(record):
                    lines.append(record.getMessage())

        assert 4 * 10 < len(lines) < 200
        assert re.findall(r"\d+", lines[-1].removeprefix(lines[0])) == ["19"]

    def test_other_failures_are_not_thinned_out(self):
        few = FewOutages()
        passed = [few.filter(record_of("Server Error", status_code=500)) for _ in range(50)]

        assert all(passed)

    def test_an_outage_is_known_by_what_was_raised(self):
        few = FewOutages()
        passed = [few.filter(record_of("x", OperationalError("gone"))) for _ in range(50)]

        assert passed.count(True) == FewOutages.AT_ONCE


class TestSecretFiles:
    def test_a_secret_comes_from_a_file(self, tmp_path, monkeypatch):
        file = tmp_path / "key"
        file.write_text("long-and-random\n")
        monkeypatch.delenv("EARSTONE_SECRET_KEY", raising=False)
        monkeypatch.setenv("EARSTONE_SECRET_KEY_FILE", str(file))

        assert secret("EARSTONE_SECRET_KEY") == "long-and-random"

    def test_both_ways_at_once_or_a_missing_file_are_refused(self, tmp_path, monkeypatch):
        monkeypatch.setenv("EARSTONE_SECRET_KEY_FILE", str(tmp_path / "none"))
        monkeypatch.setenv("EARSTONE_SECRET_KEY", "x")
        with pytest.raises(ImproperlyConfigured, match="EARSTONE_SECRET_KEY or "):
            secret("EARSTONE_SECRET_KEY")
        monkeypatch.setenv("EARSTONE_SECRET_KEY", "")
        with pytest.raises(ImproperlyConfigured, match=str(tmp_path / "none")):
            secret("EARSTONE_SECRET_KEY")
