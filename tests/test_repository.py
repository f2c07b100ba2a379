"""Rules about the tree itself: names, sizes, what must not be in it."""

import ast
import pathlib
import re
import subprocess
import sys
from dataclasses import is_dataclass
from importlib import import_module

import pytest

from samples.findings.topics import TOPICS

ROOT = pathlib.Path(__file__).resolve().parent.parent
TESTS = ROOT / "tests"
STAGES = {
    "accounts", "asks", "custody", "donors", "exchange", "findings", "lab", "nets", "pictures",
    "ramp", "reports", "search", "seasons", "targets", "today", "vials", "waters",
}  # fmt: skip
BESIDE_THE_STAGES = {
    "admin",
    "computations",
    "maintenance",
    "management",
    "migrations",
    "models",
    "rules",
    "science",
    "static",
    "templatetags",
}
# Templates that belong to no stage: what pages share, and what Django asks for by its name.
SHARED_TEMPLATES = {"admin", "django", "registration", "shared"}
OTHER_TESTS = {
    "benchmarks", "computations", "faults", "journeys", "maintenance", "management", "migrations",
    "models", "operations", "published", "rules", "science", "shared", "upgrade",
}  # fmt: skip
LONGEST = 400
WRITTEN_BY_HAND = {".css", ".html", ".js", ".md", ".mjs", ".py", ".toml", ".yml"}


def tracked():
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    paths = [ROOT / name for name in listed.split("\0") if name]
    return [path for path in paths if path.is_file()]


def name_of(path):
    return path.relative_to(ROOT).as_posix()


def text_of(path):
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""  # a picture


def folders_in(name):
    """Return the names of the folders straight below one at the top."""
    parts = [path.relative_to(ROOT).parts for path in tracked()]
    return {part[1] for part in parts if part[0] == name and len(part) > 2}


class TestNames:
    def test_samples_holds_stages_and_what_lies_beside_them(self):
        assert folders_in("samples") <= STAGES | BESIDE_THE_STAGES
        assert folders_in("samples") >= STAGES

    def test_templates_are_sorted_by_stage(self):
        assert folders_in("templates") <= STAGES | SHARED_TEMPLATES

    def test_every_stage_with_pages_has_templates_of_its_name(self):
        with_pages = {
            name
            for name in STAGES
            if (ROOT / f"samples/{name}/views.py").exists()
            or (ROOT / f"samples/{name}/views").is_dir()
        }

        assert with_pages - folders_in("templates") == set()

    def test_every_stage_has_tests_of_its_name(self):
        assert STAGES - folders_in("tests") == set()

    def test_tests_are_sorted_by_stage(self):
        assert folders_in("tests") <= STAGES | OTHER_TESTS

    def test_test_folders_are_packages(self):
        modules = [path for path in tracked() if path.match("*.py") and path.is_relative_to(TESTS)]
        folders = {path.parent for path in modules}

        assert TESTS in folders
        assert [name_of(each) for each in folders if not (each / "__init__.py").exists()] == []

    def test_nothing_is_called_utils(self):
        assert [name_of(path) for path in tracked() if path.stem in {"utils", "helpers"}] == []


class TestSize:
    def test_no_file_is_too_long_to_read(self):
        lengths = {
            name_of(path): len(text_of(path).splitlines())
            for path in tracked()
            if path.suffix in WRITTEN_BY_HAND and "/migrations/" not in name_of(path)
        }

        assert "tests/test_repository.py" in lengths
        assert {name: length for name, length in lengths.items() if length > LONGEST} == {}


def loose_assertions(path):
    """Yield the lines of assertions with "or": they would hold whichever of two things came."""
    for node in ast.walk(ast.parse(text_of(path))):
        if isinstance(node, ast.Assert):
            inside = [one for one in ast.walk(node.test) if isinstance(one, ast.BoolOp)]
            if any(isinstance(one.op, ast.Or) for one in inside):
                yield f"{name_of(path)}:{node.lineno}"


class TestServices:
    def test_those_that_change_what_findings_read_move_revisions_last(self):
        """Their transactions end with `atomic_with_revision`; a plain one moves them midway."""
        modules = [
            path
            for stage in ("exchange", "lab", "ramp", "waters")
            for path in (ROOT / "samples" / stage / "services").glob("*.py")
        ]
        plain = [name_of(path) for path in modules if "@transaction.atomic" in text_of(path)]

        assert any("@atomic_with_revision()" in text_of(path) for path in modules)
        assert plain == []


def topics_compared(path, slugs):
    """Yield the lines that compare something with the address of a topic."""
    for node in ast.walk(ast.parse(text_of(path))):
        if isinstance(node, ast.Compare):
            words = {one.value for one in ast.walk(node) if isinstance(one, ast.Constant)}
            if words & slugs:
                yield f"{name_of(path)}:{node.lineno}"


class TestTopics:
    @pytest.mark.parametrize("slug", TOPICS)
    def test_every_topic_analyses_apart_from_its_page(self, slug):
        """The contracts of who may import whom hold for every ``analyse.py`` by its name."""
        package = TOPICS[slug].package
        analysis = import_module(f"{package}.analyse")
        found = [
            one
            for one in vars(analysis).values()
            if is_dataclass(one) and one.__module__ == analysis.__name__
        ]

        assert "analyse" in vars(import_module(f"{package}.page"))
        assert analysis.analyse.__module__ == analysis.__name__
        assert found
        assert [one.__name__ for one in found if not one.__dataclass_params__.frozen] == []

    def test_no_code_and_no_template_asks_which_topic_it_is(self):
        """What sets a topic apart is said in its `TOPIC`, so that another is one more folder."""
        places = ("findings", "computations", "search", "navigation.py")
        modules = [
            path
            for path in tracked()
            if path.match("*.py")
            and any(path.is_relative_to(ROOT / "samples" / place) for place in places)
        ]
        templates = [path for path in tracked() if path.is_relative_to(ROOT / "templates")]
        asking = re.compile(r"{%[^%]*\btopic(\.slug)? *(==|!=|in )")

        assert {"growth", "length-limit-public"} <= set(TOPICS)
        assert [line for path in modules for line in topics_compared(path, set(TOPICS))] == []
        assert [name_of(path) for path in templates if asking.search(text_of(path))] == []


class TestAssertions:
    def test_no_assertion_holds_for_either_of_two_outcomes(self):
        modules = [path for path in tracked() if path.match("*.py") and path.is_relative_to(TESTS)]

        assert [place for path in modules for place in loose_assertions(path)] == []

    def test_no_test_asks_first_whether_there_is_anything_to_check(self):
        modules = [path for path in tracked() if path.match("test_*.py")]

        guarded = [name_of(path) for path in modules if re.search(r"\bhasattr\(", text_of(path))]

        assert guarded == []


INLINE = {
    "style attribute": re.compile(r"\sstyle\s*=", re.IGNORECASE),
    "style element": re.compile(r"<style\b", re.IGNORECASE),
    "script without a file": re.compile(r"<script\b(?![^>]*\ssrc=)", re.IGNORECASE),
    "handler in a tag": re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE),
    "script as an address": re.compile(r"javascript:", re.IGNORECASE),
}


class TestInline:
    """The policy of every page forbids these, so a browser would drop them silently."""

    @pytest.mark.parametrize("what", INLINE)
    def test_templates_have_nothing_inline(self, what):
        pages = [path for path in tracked() if path.suffix in {".html", ".svg"}]

        assert pages
        assert [name_of(path) for path in pages if INLINE[what].search(text_of(path))] == []

    @pytest.mark.parametrize(
        ("what", "tag"),
        [
            ("style attribute", '<p class="a" style="color:red">'),
            ("style element", "<style>"),
            ("script without a file", "<script>go()</script>"),
            ("handler in a tag", '<button type="submit" onclick="go()">'),
            ("script as an address", '<a href="javascript:go()">'),
        ],
    )
    def test_each_would_be_found(self, what, tag):
        assert INLINE[what].search(tag)

    def test_a_script_from_a_file_is_not_meant(self):
        tag = """<script type="module" src="{% static 'samples/ramp/screen.js' %}"></script>"""

        assert [what for what, pattern in INLINE.items() if pattern.search(tag)] == []


class TestPlaces:
    """A copy of this tree works on any machine, with whatever index its owner uses."""

    # Put together here, so that this file does not contain what it forbids.
    FORBIDDEN = (
        "/" + "work/",
        "/" + "root/",
        "pypi" + ".org",
        "python" + "hosted",
        "registry." + "npm",
        "deb." + "debian.org",
        "--index" + "-url",
        "--find" + "-links",
    )

    @pytest.mark.parametrize("place", FORBIDDEN)
    def test_names_no_machine_and_no_registry(self, place):
        named = [name_of(path) for path in tracked() if place in text_of(path)]

        assert named == []

    def test_site_data_is_not_in_the_tree(self):
        kept = re.compile(r"\.(sqlite3|pyc|log)$|(^|/)\.env$|^(media|staticfiles|backups)/")

        assert [name_of(path) for path in tracked() if kept.search(name_of(path))] == []


WITHOUT_DJANGO = """
import importlib, pkgutil, sys
for name in ("django", "rest_framework", "psycopg"):
    sys.modules[name] = None
import samples.units
for package in ("samples.rules", "samples.science"):
    folder = importlib.import_module(package).__path__
    for found in pkgutil.walk_packages(folder, package + "."):
        importlib.import_module(found.name)
        print(found.name)
"""


class TestPureCode:
    def test_runs_where_django_cannot_be_imported(self):
        command = [sys.executable, "-c", WITHOUT_DJANGO]

        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)

        assert done.stderr == ""
        assert "samples.rules.vial_number" in done.stdout
        assert "samples.science." in done.stdout


class TestRequirements:
    @pytest.mark.parametrize("name", ["requirements.in", "requirements-dev.in"])
    def test_each_says_what_it_is_for(self, name):
        lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
        asked = [line for line in lines if line and line[0] not in "#-"]

        assert len(asked) > 10
        assert [line for line in asked if not re.search(r"\s#\s\S+\s\S", line)] == []

    @pytest.mark.parametrize("name", ["requirements", "requirements-s3", "requirements-dev"])
    def test_each_is_pinned_with_hashes(self, name):
        asked = (ROOT / f"{name}.in").read_text(encoding="utf-8")
        pinned = (ROOT / f"{name}.txt").read_text(encoding="utf-8")
        names = re.findall(r"^([A-Za-z][\w-]*)", asked, re.MULTILINE)
        pins = re.findall(r"^([a-z][\w.-]*)(?:\[.*\])?==\S+.* \\\n +--hash=sha256", pinned, re.M)

        assert len(pins) == len(re.findall(r"^[a-z].*==", pinned, re.MULTILINE))
        assert {each.lower() for each in names} - set(pins) == set()
