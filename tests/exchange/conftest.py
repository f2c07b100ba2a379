"""Files brought in as by hand, with what the command said and the report that it made."""

from dataclasses import dataclass
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from samples.management.commands import import_fish, import_rings


@dataclass
class Brought:
    """What came of a file: what the command said, its report, and the code of a refusal."""

    text: str = ""
    report: Any = None
    code: str = ""
    was_refused: bool = False

    @property
    def bad(self):
        """Return what is wrong, row by row: the row, the column and what was found."""
        return [(one.row, one.column, one.found) for one in self.report.bad]


@pytest.fixture
def run_import(tmp_path, capsys, monkeypatch):
    """Write a file and bring it in by a command: run_import(import_fish, "fish.csv", text, ...)."""

    def run(module, name, content, *options):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        command = module.__name__.rpartition(".")[2]
        service, brought = getattr(module, command), Brought()

        def keep_report(*args, **kwargs):
            brought.report = service(*args, **kwargs)
            return brought.report

        with monkeypatch.context() as patch:
            patch.setattr(module, command, keep_report)
            try:
                call_command(command, path, *options)
            except CommandError as problem:
                brought.was_refused = True
                brought.code = getattr(problem.__cause__, "code", "")
                brought.text = str(problem)
        brought.text = capsys.readouterr().out + brought.text
        return brought

    return run


@pytest.fixture
def bring_in(run_import):
    def run(content, *options, name="fish.csv", lake="Lake Orrinbeck"):
        given = ["--lake", lake, "--season", "2026", *options]
        return run_import(import_fish, name, content, *given)

    return run


@pytest.fixture
def bring_rings_in(run_import, reader):
    def run(text, *options):
        given = ["--lake", "lake orrinbeck", "--by", reader.username, *options]
        return run_import(import_rings, "rings.csv", text, *given)

    return run
