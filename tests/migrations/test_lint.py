"""Migrations of this program hold to what `lint` says; each of its rules is broken here."""

import hashlib
import io
import json
import tokenize
from pathlib import Path

import pytest
from django.db import migrations, models
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.state import ModelState, ProjectState

from samples import migrations as package
from tests.migrations.lint import unsafe
from tests.upgrade.releases import in_order, released

APP = "samples"
FIRST = "0001_initial"
FOLDER = Path(package.__file__).parent
# By release, the migrations that it brought, each with the digest of its words.
RELEASED = json.loads(Path(__file__).with_name("released.json").read_text(encoding="utf-8"))
SHIPPED_IN = {name: version for version, names in RELEASED.items() for name in names}
SPACE = {
    tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT,
    tokenize.ENCODING, tokenize.ENDMARKER,
}  # fmt: skip


def digest_of(text):
    """Return a digest of all words of a file, whatever its lines and comments."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    words = [token.string for token in tokens if token.type not in SPACE]
    return hashlib.sha256("\n".join(words).encode()).hexdigest()


def ours():
    """Return the migrations of the app in their order, each with the state ahead of it."""
    loader = MigrationLoader(None)
    order = loader.graph.forwards_plan(loader.graph.leaf_nodes(APP)[0])
    state = ProjectState(real_apps=loader.unmigrated_apps)
    for key in order:
        migration = loader.disk_migrations[key]
        if key[0] == APP:
            yield key[1], migration, state.clone()
        state = migration.mutate_state(state)


class TestReleased:
    def test_every_release_says_which_migrations_it_brought(self):
        assert list(RELEASED) == sorted(released(), key=in_order)

    @pytest.mark.parametrize("name", SHIPPED_IN)
    def test_what_a_release_brought_is_never_edited(self, name):
        text = (FOLDER / f"{name}.py").read_text(encoding="utf-8")

        assert digest_of(text) == RELEASED[SHIPPED_IN[name]][name]

    def test_an_edit_would_be_found_and_a_comment_is_none(self):
        text = (FOLDER / f"{FIRST}.py").read_text(encoding="utf-8")

        assert digest_of(f"# Frozen.\n{text}") == digest_of(text)
        assert digest_of(text.replace("max_length=40", "max_length=41", 1)) != digest_of(text)


def test_no_migration_breaks_the_code_of_the_release_before():
    found = {
        name: unsafe(migration, state, shipped_in=SHIPPED_IN.get(name), released=released())
        for name, migration, state in ours()
        if name != FIRST
    }

    assert {name: faults for name, faults in found.items() if faults} == {}


# ---------- The rules, each broken on purpose ----------


@pytest.fixture
def before():
    state = ProjectState()
    fish: list[tuple[str, models.Field]] = [
        ("id", models.BigAutoField(primary_key=True)),
        ("note", models.CharField(max_length=20)),
        ("weight_g", models.IntegerField(null=True)),
        ("leg", models.IntegerField(db_default=0)),
    ]
    state.add_model(ModelState("lakes", "Fish", fish))
    state.add_model(ModelState("lakes", "Vial", [("id", models.BigAutoField(primary_key=True))]))
    return state


def plant(*operations, safe_since=None):
    members = {"operations": list(operations)}
    if safe_since is not None:
        members["safe_since"] = safe_since
    return type("Migration", (migrations.Migration,), members)("0002_planted", "lakes")


def complaints(before, migration, *, shipped_in=None):
    return unsafe(migration, before, shipped_in=shipped_in, released=["0.1.0", "0.2.0"])


def text(**options):
    return models.CharField(max_length=20, **options)


DROPS_NOTE = migrations.RemoveField("Fish", "note")
UNSAFE = {
    "a column goes": (DROPS_NOTE, "fish.note"),
    "a column is renamed": (migrations.RenameField("Fish", "note", "remark"), "fish.note"),
    "a table goes": (migrations.DeleteModel("Vial"), "vial"),
    "a table is renamed": (migrations.RenameModel("Vial", "Tube"), "vial"),
    "a table gets another name": (migrations.AlterModelTable("Vial", "tubes"), "vial"),
    "a column gets another name": (
        migrations.AlterField("Fish", "note", text(db_column="remark")),
        "fish.note",
    ),
    "a new column that old code leaves out": (
        migrations.AddField("Fish", "sex", text(default="U")),
        "fish.sex",
    ),
    "a new foreign key that must be there": (
        migrations.AddField("Fish", "vial", models.ForeignKey("Vial", models.CASCADE)),
        "fish.vial",
    ),
    "a column that may not be empty any more": (
        migrations.AlterField("Fish", "weight_g", models.IntegerField(default=0)),
        "fish.weight_g",
    ),
    "a column that does not fill itself any more": (
        migrations.AlterField("Fish", "leg", models.IntegerField(default=0)),
        "fish.leg",
    ),
    "by hand": (migrations.RunSQL("ALTER TABLE lakes_fish DROP COLUMN note"), "sql"),
    "behind the state's back": (
        migrations.SeparateDatabaseAndState(database_operations=[DROPS_NOTE]),
        "fish.note",
    ),
}
SAFE = {
    "a column that may be empty": migrations.AddField("Fish", "sex", text(null=True)),
    "a column that fills itself": migrations.AddField("Fish", "sex", text(db_default="U")),
    "a column that becomes longer": migrations.AlterField(
        "Fish", "note", models.CharField(max_length=80)
    ),
    "many to many": migrations.AddField("Fish", "vials", models.ManyToManyField("Vial")),
    "a new table": migrations.CreateModel("Age", [("id", models.BigAutoField(primary_key=True))]),
    "a constraint": migrations.AddConstraint(
        "Fish", models.CheckConstraint(condition=models.Q(leg__gte=0), name="leg_is_counted")
    ),
    "out of the state alone": migrations.SeparateDatabaseAndState(state_operations=[DROPS_NOTE]),
    "by hand, added": migrations.RunSQL("CREATE INDEX notes ON lakes_fish (note)"),
}


@pytest.mark.parametrize("name", UNSAFE)
def test_is_found(before, name):
    operation, what = UNSAFE[name]

    [complaint] = complaints(before, plant(operation))

    assert complaint.startswith(f"{what}: ")


@pytest.mark.parametrize("name", UNSAFE)
def test_is_allowed_once_a_release_has_stopped_using_it(before, name):
    operation, what = UNSAFE[name]

    assert complaints(before, plant(operation, safe_since={what: "0.1.0"})) == []


@pytest.mark.parametrize("name", SAFE)
def test_is_not_meant(before, name):
    assert complaints(before, plant(SAFE[name])) == []


def test_an_allowance_by_a_release_that_is_not_out_is_none(before):
    found = complaints(before, plant(DROPS_NOTE, safe_since={"fish.note": "0.3.0"}))

    [complaint] = found
    assert complaint.startswith("fish.note: 0.3.0 ")


def test_the_release_that_stops_using_it_is_not_the_one_that_drops_it(before):
    migration = plant(DROPS_NOTE, safe_since={"fish.note": "0.2.0"})

    [complaint] = complaints(before, migration, shipped_in="0.2.0")
    assert complaint.startswith("fish.note: 0.2.0 ")


def test_an_allowance_for_nothing_is_told(before):
    migration = plant(SAFE["a new table"], safe_since={"fish.note": "0.1.0"})

    [complaint] = complaints(before, migration)
    assert complaint.startswith("fish.note: safe_since ")


def test_later_operations_are_judged_by_what_stands_before_them(before):
    added = migrations.AddField("Fish", "sex", text(db_default="U"))
    loosened = migrations.AlterField("Fish", "sex", text(default="U"))

    [complaint] = complaints(before, plant(added, loosened))

    assert complaint.startswith("fish.sex: ")
