"""The settings file: which one counts for a rig, and what it says. What comes of it stands in ``settings``."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path, PurePath
from typing import Any

from rigmargin.spec import document as documents
from rigmargin.spec import own_marks, places, schema, stated, units, validate
from rigmargin.spec.document import Document, Key
from rigmargin.spec.fields import Field
from rigmargin.spec.problem import FileProblems, Problem, first_at_each_place, shown
from rigmargin.spec.settings import BY_PLACE, DEFAULT, Acceptance, Figure, Folder, Origin, Settings, place_cure

NAME = "rigmargin.yaml"
MISSPELT = "rigmargin.yml"  # found in its place: refused, because what it settles would otherwise be left out unseen
_CODE = re.compile(r"[a-z0-9-]+\Z")  # what is no code at all has a problem of its own


def nearest(folder: str | Path) -> str:
    """The settings file that counts in a folder: its own, else that of the nearest folder above it, up to the top of the git
    work tree; outside of git the folder's own only. Empty when there is none. Two files never merge. One whose name ends
    otherwise is found too, and refused when it is read.
    """
    here = Path(os.path.abspath(folder))
    way = [here, *here.parents]
    top = next((i for i, each in enumerate(way) if os.path.lexists(each / ".git")), 0)
    names = (each / name for each in way[: top + 1] for name in (NAME, MISSPELT))
    found = next((each for each in names if os.path.lexists(each)), None)
    if found is None:
        return ""
    return os.path.relpath(found) if found.is_relative_to(Path.cwd()) else str(found)


def read(path: str, named: Origin = DEFAULT) -> Settings:
    """What a settings file says; ``named`` is what named it, when its user did. Raises FileProblems with all that is wrong."""
    if named == DEFAULT and PurePath(path).name == MISSPELT:
        raise FileProblems([Problem(path, 0, 0, "", f"settings in a file called {MISSPELT}", NAME, f"rename it to {NAME}")])
    document = documents.read(path)
    problems = [*document.problems, *validate.check(document, schema.SETTINGS), *own_marks.check(document), *_meant(document)]
    if problems:
        raise FileProblems(first_at_each_place(problems))
    data, at = document.data, _Origins(document)
    return Settings(
        file=path,
        places=tuple(data.get("places", ())),
        units=data.get("units", "rig"),
        words=data.get("words", BY_PLACE),
        rules=_rules(path, data, at, runs=named != DEFAULT),
        reserve={key: _figure(text, at(("reserve", key))) for key, text in data.get("reserve", {}).items()},
        evidence={key: _figure(text, at(("evidence", key))) for key, text in data.get("evidence", {}).items()},
        exceptions=tuple(_acceptance(entry, at(("exceptions", i))) for i, entry in enumerate(data.get("exceptions", ()))),
        origins={key: at((key,)) for key in ("places", "units", "words") if key in data},
        named=named,
    )


class _Origins:
    """The place of each value of one file."""

    def __init__(self, document: Document) -> None:
        self.document, self.name = document, PurePath(document.file).name

    def __call__(self, path: Key) -> Origin:
        return Origin("file", self.name, *self.document.key_place(path))


def _rules(path: str, data: dict[str, Any], at: _Origins, *, runs: bool) -> tuple[Folder, ...]:
    if "rules" not in data:
        return ()
    return (Folder(data["rules"], _beside(path, data["rules"]), runs, at(("rules",))),)


def _beside(file: str, name: str) -> str:
    """A path that a file names, as it is seen from here."""
    return os.path.join(os.path.dirname(file), name)


def _figure(text: str, origin: Origin) -> Figure:
    return Figure(text, units.parse(text).si, origin)


def _acceptance(entry: dict[str, str], origin: Origin) -> Acceptance:
    optional = {key: entry.get(key, "") for key in ("subject", "state")}
    return Acceptance(**{**entry, **optional}, origin=origin)


def _meant(document: Document) -> Iterator[Problem]:
    """What is well formed and cannot be meant. What breaks the schema is passed over: ``validate`` has said so."""
    data = document.data
    codes = data.get("places")
    for i, code in enumerate(codes if isinstance(codes, list) else ()):
        if isinstance(code, str) and _CODE.match(code) and not places.known(code):
            yield document.problem(("places", i), shown(code), "the code of a place", place_cure(code))
    for name in ("reserve", "evidence"):
        entries = data.get(name)
        for key, text in entries.items() if isinstance(entries, dict) else ():
            yield from _implausible(document, (name, key), text)
    folder = data.get("rules")
    if isinstance(folder, str) and folder and not os.path.isdir(_beside(document.file, folder)):
        yield document.problem(
            ("rules",), shown(folder), "a folder, seen from this file", "correct the name, or make the folder"
        )


def _implausible(document: Document, path: Key, text: Any) -> Iterator[Problem]:
    node = schema.load(schema.SETTINGS)["properties"][path[0]]
    node = node.get("properties", {}).get(path[1]) or node.get("additionalProperties")
    if not isinstance(node, dict) or not isinstance(text, str):
        return
    try:
        yield from stated.implausible(document, path, text, Field(node))
    except units.NotAQuantity:
        return
