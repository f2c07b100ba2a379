"""What is left out of scripts and styles before phones fetch them."""

import gzip
import io
import itertools
import json
import os
import re
import shutil
import subprocess
import time
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles.finders import AppDirectoriesFinder
from django.core.management import call_command
from django.test import override_settings

from fisheries.storage import lean

FOLDER = Path(settings.BASE_DIR) / "samples" / "static"
SCRIPTS = sorted(FOLDER.rglob("*.js"))


def test_comments_and_indents_go_and_the_rest_stays():
    script = (
        b'// Why.\nconst a = "// text"; // after\n  if (a) {\n    // why\n    b(`  x\n  y`);\n  }\n'
    )

    assert lean("samples/ramp/x.js", script) == b'const a="// text";if(a){b(`  x\n  y`);}'


# Rules for paper, to the brace that stands at the start of a line.
FOR_PAPER = re.compile(r"@media print \{.*?^\}", re.S | re.M)
COMMENT = re.compile(r"/\*.*?\*/", re.S)


def classes_laid_out_by(sheet):
    """Return the classes that a style sheet has a rule of their own for, on a screen."""
    rules = FOR_PAPER.sub("", COMMENT.sub("", (FOLDER / "samples" / sheet).read_text("utf-8")))
    selectors = [one for group in re.findall(r"([^{}]+)\{", rules) for one in group.split(",")]
    return {one.strip() for one in selectors if re.fullmatch(r"\s*\.[\w-]+\s*", one)}


def test_two_style_sheets_of_one_page_do_not_lay_out_the_same_class():
    """The staff's pages load all of these: a list on the phone once pulled a table apart."""
    sheets = ["base.css", "phone.css", "shell.css", "screens.css"]
    found = {sheet: classes_laid_out_by(sheet) for sheet in sheets}

    twice = {
        (one, other): found[one] & found[other]
        for one, other in itertools.combinations(sheets, 2)
        if found[one] & found[other]
    }

    assert all(len(classes) > 9 for classes in found.values())
    assert twice == {}


# A text in backquotes that opens another one in one of its places.
NESTED = re.compile(r"`(?:[^`$\\]|\\.|\$(?!\{)|\$\{[^`}]*\})*\$\{[^`}]*`")


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_no_text_is_inside_another_where_its_spaces_would_be_lost(path):
    assert NESTED.findall(path.read_text(encoding="utf-8")) == []


def test_a_text_inside_another_would_be_found():
    assert NESTED.search("const a = `x ${y ? `today, ${at}` : z}`;")
    assert NESTED.search("const a = `x ${y}`; const b = `${c}`;") is None


def test_styles_lose_their_comments():
    style = b"/* a\n   b */\n.c > .d { width: calc(1px + 2px); }\n"

    assert lean("samples/x.css", style) == b".c>.d{width:calc(1px + 2px)}"


def test_files_of_others_stay_as_they_are():
    assert lean("admin/x.js", b"// licence\n") == b"// licence\n"


# One process for all: each would take longer to start than to read its script.
CHECK_ALL = """
const {SourceTextModule} = require("node:vm");
const wrong = [];
for (const [name, text] of Object.entries(JSON.parse(require("node:fs").readFileSync(0, "utf8")))) {
  try { new SourceTextModule(text); } catch (error) { wrong.push(`${name}: ${error}`); }
}
console.log(JSON.stringify(wrong));
"""


def wrong_scripts(texts):
    """Return what is no script, by name."""
    done = subprocess.run(
        ["node", "--no-warnings", "--experimental-vm-modules", "--eval", CHECK_ALL],
        input=json.dumps(texts),
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout)


def test_a_lean_script_is_still_a_script():
    texts = {
        str(path.relative_to(FOLDER)): lean("samples/x.js", path.read_bytes()).decode()
        for path in SCRIPTS
    }

    assert len(texts) > 40
    assert wrong_scripts(texts) == []
    [found] = wrong_scripts({"broken.js": "export const a = `x;"})
    assert found.startswith("broken.js: SyntaxError")


RULES = """
([before, after]) => [before, after].map(text => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(text);
  return [...sheet.cssRules].map(rule => rule.cssText.replace(/\\s*([,<>=])\\s*/g, "$1"));
})
"""


@pytest.mark.browser
def test_a_lean_style_sheet_has_the_same_rules(desk):
    for path in sorted(FOLDER.rglob("*.css")):
        text = path.read_bytes()
        both = [text.decode(), lean(f"samples/{path.name}", text).decode()]

        before, after = desk.evaluate(RULES, both)

        assert before
        assert after == before


# Classes that a template or a script puts together: cell-{{ state }}, and so on.
BUILT = re.compile(r"(?:cell|ring|sheet|panels)-")


def test_every_class_of_a_style_sheet_is_used_somewhere():
    """Rules of pages that are gone are sent to every phone."""
    folders = [Path(settings.BASE_DIR) / name for name in ("samples", "templates")]
    texts = [
        path.read_text(encoding="utf-8")
        for folder in folders
        for path in folder.rglob("*")
        if path.suffix in {".html", ".js", ".py", ".svg"}
    ]
    used = {word for text in texts for word in re.findall(r"[\w-]+", text)}
    styles = "".join(path.read_text(encoding="utf-8") for path in FOLDER.rglob("*.css"))
    selectors = re.sub(r"/\*.*?\*/|\{[^{}]*\}", "", styles, flags=re.DOTALL)
    named = set(re.findall(r"\.([A-Za-z][\w-]*)", selectors))

    assert len(named) > 100
    assert {name for name in named - used if not BUILT.match(name)} == set()


class OurFiles(AppDirectoriesFinder):
    """Finds what is ours: the files of packages take four times as long to pack."""

    def __init__(self):
        super().__init__(app_names=["samples"])


def as_installed(folder):
    """Settings under which files are gathered into a folder as on an installation."""
    return override_settings(
        STATIC_ROOT=str(folder),
        STATICFILES_FINDERS=[f"{__name__}.OurFiles"],
        STORAGES={
            **settings.STORAGES,
            "staticfiles": {"BACKEND": "fisheries.storage.HashedStaticFiles"},
        },
    )


@pytest.fixture(scope="module")
def collected(tmp_path_factory):
    """All that is ours as an installation serves it."""
    folder = tmp_path_factory.mktemp("static")
    with as_installed(folder):
        call_command("collectstatic", interactive=False, verbosity=0)
        yield folder


def test_a_script_takes_from_the_version_that_belongs_to_it(collected):
    """A phone that kept an older file under the same name would run a half-old page."""
    ramp = collected / "samples" / "ramp"
    [start] = ramp.glob("app.????????????.js")
    taken = re.findall(r'from"\./([^"]+)"', start.read_text())

    assert len(taken) > 10
    for name in taken:
        assert re.fullmatch(r"\w+\.[0-9a-f]{12}\.js", name)
        assert (ramp / name).stat().st_size > 100


def test_what_is_served_is_lean_and_small(collected):
    folder = collected / "samples"
    [script] = (folder / "ramp").glob("outbox.????????????.js")
    [packed] = (folder / "ramp").glob("outbox.????????????.js.gz")

    assert "// " not in script.read_text()
    assert gzip.decompress(packed.read_bytes()) == script.read_bytes()


def hashed_style(folder):
    [style] = (folder / "samples").glob("base.????????????.css")
    return style


def test_open_pages_of_the_last_version_keep_their_style_sheets_for_a_month(collected, tmp_path):
    with as_installed(tmp_path):
        shutil.copytree(collected, tmp_path, dirs_exist_ok=True)
        current = hashed_style(tmp_path)
        old = current.with_name("base.0123456789ab.css")
        old.write_text("of the last version")
        manifest = json.loads((tmp_path / "staticfiles.json").read_text())
        manifest["paths"]["samples/base.css"] = f"samples/{old.name}"
        (tmp_path / "staticfiles.json").write_text(json.dumps(manifest))
        long_ago = time.time() - 90 * 24 * 3600
        for file in (old, current):
            os.utime(file, (long_ago, long_ago))

        call_command("publish_static_files", stdout=io.StringIO())
        assert old.exists()  # replaced just now, however old it is

        os.utime(old, (long_ago, long_ago))
        call_command("publish_static_files", stdout=io.StringIO())
        assert not old.exists()
        assert hashed_style(tmp_path) == current
