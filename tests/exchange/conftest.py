"""Files brought in as by hand, with what the command said."""

import pytest
from django.core.management import CommandError, call_command


@pytest.fixture
def bring_in(tmp_path, capsys):
    """Write a file and import it; answer with what the command said."""

    def run(content, *options, name="fish.csv", lake="Lake Orrinbeck"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        try:
            call_command("import_fish", path, "--lake", lake, "--season", "2026", *options)
        except CommandError as problem:
            return capsys.readouterr().out + str(problem)
        return capsys.readouterr().out

    return run
