"""The app that works without signal: what every phone gets, and how large it is."""

import gzip
import json
import re

import brotli
import pytest
from django.test import Client
from django.urls import reverse

from fisheries.storage import lean
from samples.ramp.views import app
from samples.ramp.views.script import CannotJoin, join_modules

FIRST_VISIT = 60_000


@pytest.fixture
def shell():
    return Client().get(reverse("ramp:shell"))


def test_the_shell_has_no_person_in_it(client, guide, party, shell):
    client.force_login(guide, backend="django.contrib.auth.backends.ModelBackend")

    signed_in = client.get(reverse("ramp:shell"))

    assert signed_in.content == shell.content
    assert not signed_in.cookies
    assert str(guide) not in shell.content.decode()


def test_the_worker_keeps_the_shell_and_every_file_that_it_names(shell):
    script = Client().get(reverse("ramp:worker")).content.decode()
    [words] = re.findall(r"^const KEPT = (.*);", script)
    kept = json.loads(words)

    page = shell.content.decode()
    named = set(re.findall(r'(?:src|href)="((?:/static/|/ramp/app/\w)[^"#]+)[^"]*"', page))
    pictures_of_home_screens = {name for name in named if "icon-" in name}
    assert named - pictures_of_home_screens == set(kept["files"])
    assert kept["shell"] == reverse("ramp:shell")


def script_address(shell):
    [address] = re.findall(r'<script type="module" src="([^"]+)"', shell.content.decode())
    return address


def script_of(shell):
    return Client().get(script_address(shell))


def test_the_script_of_the_page_holds_every_module_and_no_other_version_does(shell):
    answer = script_of(shell)

    assert answer["Content-Type"] == "text/javascript"
    script = answer.content.decode()
    modules = re.findall(r"\bconst \$(\w+)=", script)
    assert sorted(f"samples/ramp/{one}.js" for one in modules) == sorted(app.SCRIPTS)
    assert modules[-1] == "app"
    assert Client().get(reverse("ramp:script", args=["0" * 16])).status_code == 404


D = "async function d() {}"
DEFAULT = "export default 1;"


class TestJoinModules:
    def test_each_module_finds_what_it_takes(self):
        texts = {
            "app": 'import * as b from "./b.js";\nimport { c } from "./c.js";\nb.c(c);\n',
            "b": 'export { c } from "./c.js";\n' + f"export {D}\n",
            "c": "export const c = 1;\n",
        }

        assert join_modules(texts, "app").split("\n") == [
            *["const $c = (() => {", "const c = 1;", "", "return { c };", "})();"],
            *["const $b = (() => {", "const { c } = $c;", D, ""],
            *["return { d, c };", "})();"],
            *["const $app = (() => {", "const b = $b;", "const { c } = $c;", "b.c(c);", ""],
            *["return {  };", "})();"],
        ]

    @pytest.mark.parametrize(
        ("texts", "why"),
        [
            ({"app": 'import { a } from "./b.js";\n'}, "b.js "),
            (
                {"app": 'import { a } from "./b.js";\n', "b": "const a = 1;\n"},
                "app.js takes ",
            ),
            (
                {
                    "app": 'import { a } from "./b.js";\n',
                    "b": 'import { a } from "./app.js";\n',
                },
                "app > b > app",
            ),
            ({"app": f"{DEFAULT}\n"}, f"app.js: {DEFAULT}"),
            ({"app": 'import "./b.js";\n'}, 'app.js: import "./b.js";'),
        ],
        ids=["missing", "not given", "ring", "unknown export", "unknown import"],
    )
    def test_what_cannot_be_joined_is_refused(self, texts, why):
        with pytest.raises(CannotJoin, match=re.escape(why)):
            join_modules(texts, "app")


def test_another_content_is_another_version(monkeypatch):
    before = app.shell_now().version
    plain = app._bytes_of

    def changed(name):
        return plain(name) + (b" " if name.endswith("tokens.css") else b"")

    monkeypatch.setattr(app, "_bytes_of", changed)

    assert app.shell_now().version != before


def test_a_first_visit_is_small(shell):
    """All that a phone fetches to work without signal, as it goes over the wire of a site."""
    phone = Client(headers={"accept-encoding": "gzip, deflate, br"})
    addresses = [reverse("ramp:shell"), reverse("ramp:worker"), reverse("ramp:manifest")]
    answers = [phone.get(address) for address in (*addresses, script_address(shell))]
    assert {answer["Content-Encoding"] for answer in answers} == {"br"}
    # As WhiteNoise keeps them beside the files.
    files = [lean(name, app._bytes_of(name)) for name in (*app.FILES, app.ICONS[0][0])]
    sizes = [len(answer.content) for answer in answers] + [len(brotli.compress(f)) for f in files]

    assert sum(sizes) < FIRST_VISIT


def test_whoever_takes_no_brotli_gets_the_same_page(shell):
    plain = script_of(shell).content
    packed = Client(headers={"accept-encoding": "gzip, br"}).get(script_address(shell))
    zipped = Client(headers={"accept-encoding": "gzip"}).get(script_address(shell))

    assert brotli.decompress(packed.content) == plain
    assert gzip.decompress(zipped.content) == plain
    assert all("Accept-Encoding" in answer["Vary"] for answer in (packed, zipped))


def test_the_manifest_makes_it_an_app_of_its_own():
    answer = Client().get(reverse("ramp:manifest"))

    words = answer.json()
    assert answer["Content-Type"] == "application/manifest+json"
    assert words["display"] == "standalone"
    assert words["start_url"] == words["id"] == reverse("ramp:shell")
    assert {icon["purpose"] for icon in words["icons"]} == {"any", "maskable"}
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in words["icons"]}
