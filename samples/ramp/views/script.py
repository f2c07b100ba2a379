"""The app's modules joined into one script: a phone fetches one file far smaller than thirty.

Nothing is built beforehand. Each module becomes a function that gives what it exports, in an
order in which each finds what it takes from others.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

_IMPORTED = re.compile(
    r'^import (?:\* as (?P<all>\w+)|\{(?P<names>[^}]*)\}) from "\./(?P<module>\w+)\.js";$', re.M
)
_PASSED_ON = re.compile(r'^export \{(?P<names>[^}]*)\} from "\./(?P<module>\w+)\.js";$', re.M)
_EXPORTED = re.compile(r"^export (?P<rest>(?:async )?(?:function|const|class) (?P<name>\w+))", re.M)
_NOT_UNDERSTOOD = re.compile(r"^(?:import|export)\b.*$", re.M)


class CannotJoin(ValueError):
    """A module takes or gives something in a way that cannot be joined."""


@dataclass(frozen=True, slots=True)
class _Module:
    text: str
    exports: frozenset[str]


def join_modules(texts: Mapping[str, str], entry: str) -> str:
    """Join modules, by their names without ``.js``, into one script that runs ``entry`` last.

    :raises CannotJoin: if a module is missing, modules need one another in a ring, something is
        taken that is not given, or a line is written in a way that is not known here
    """
    joined: dict[str, _Module] = {}
    _join(entry, texts, joined, path=())
    return "\n".join(one.text for one in joined.values())


def _join(
    name: str, texts: Mapping[str, str], joined: dict[str, _Module], path: tuple[str, ...]
) -> None:
    if name in joined:
        return
    if name in path:
        raise CannotJoin(f"modules need one another: {' > '.join([*path, name])}")
    if name not in texts:
        raise CannotJoin(f"{name}.js is not among the files of the app")
    needs = [match["module"] for match in _IMPORTED.finditer(texts[name])]
    needs += [match["module"] for match in _PASSED_ON.finditer(texts[name])]
    for needed in needs:
        _join(needed, texts, joined, (*path, name))
    joined[name] = _module(name, texts[name], joined)


def _module(name: str, text: str, joined: Mapping[str, _Module]) -> _Module:
    given = [match["name"] for match in _EXPORTED.finditer(text)]
    taken = [
        (match["module"], one)
        for pattern in (_IMPORTED, _PASSED_ON)
        for match in pattern.finditer(text)
        for one in _names(match["names"])
    ]
    for module, one in taken:
        if one not in joined[module].exports:
            raise CannotJoin(f"{name}.js takes {one}, which {module}.js does not give")
    given += [one for match in _PASSED_ON.finditer(text) for one in _names(match["names"])]
    body = _IMPORTED.sub(_as_constant, _PASSED_ON.sub(_as_constant, text))
    body = _EXPORTED.sub(lambda match: match["rest"], body)
    if odd := _NOT_UNDERSTOOD.search(body):
        raise CannotJoin(f"{name}.js: {odd[0]}")
    wrapped = f"const ${name} = (() => {{\n{body}\nreturn {{ {', '.join(given)} }};\n}})();"
    return _Module(wrapped, frozenset(given))


def _as_constant(match: re.Match[str]) -> str:
    if match.groupdict().get("all"):
        return f"const {match['all']} = ${match['module']};"
    return f"const {{{match['names']}}} = ${match['module']};"


def _names(names: str | None) -> list[str]:
    return [one.strip() for one in (names or "").split(",") if one.strip()]
