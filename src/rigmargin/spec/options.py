"""The changes an owner considers: what each costs, what it needs, and the document of the rig that has them.

Everything here works on documents with canonical field names. Building rigs of them is ``variants``' part.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from rigmargin.spec import coherence, patch, stated, synonyms, units, validate
from rigmargin.spec import document as documents
from rigmargin.spec.document import Document, Key, dotted
from rigmargin.spec.problem import FileProblems, Problem, shown

#: The parts of a rig that another file's can stand in for.
PARTS = ("tow_vehicle", "trailer")
FROM = "from"
_FROM_TEXT = re.compile(r"from (\S.*)\Z")
#: What the makers rate. An option changes none of it without a certificate for that very rating.
_RATINGS = tuple(
    tuple(pattern.split("."))
    for pattern in (
        "tow_vehicle.max_mass", "tow_vehicle.max_combination_mass", "tow_vehicle.payload", "tow_vehicle.max_trailer_mass",
        "tow_vehicle.max_coupling_load", "tow_vehicle.axles.*.max_load", "trailer.max_mass", "trailer.max_axle_group_load",
        "trailer.axles.*.max_load",
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Option:
    """One change the owner considers."""

    name: str
    cost: Decimal | None  # the owner's own figure; None when the file gives none
    currency: str  # of the cost, three letters; empty without one
    needs: tuple[str, ...]
    excludes: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Patched:
    """The document of a rig with some options."""

    document: Document
    words: dict[str, str]  # path of a field to the label word used for it
    replaced: frozenset[str]  # the PARTS that come from another file
    refused: tuple[str, ...]  # the ratings a change states without a certificate, in words; the old ones stand
    tickets: bool  # whether the change brings weighings of its own


def listed(document: Document) -> tuple[Option, ...]:
    """The options of a sound document, in its order."""
    return tuple(_option(name, entry) for name, entry in document.data.get("options", {}).items())


def _option(name: str, entry: dict[str, Any]) -> Option:
    amount, _, currency = entry.get("cost", "").partition(" ")
    cost = Decimal(amount) if amount else None
    return Option(
        name, cost, currency, tuple(entry.get("needs", ())), tuple(entry.get("excludes", ())), str(entry.get("note", ""))
    )


def with_needs(document: Document, name: str) -> tuple[str, ...]:
    """An option with all that it needs, what is needed first."""
    found: list[str] = []

    def visit(one: str) -> None:
        if one in visiting or one in found:
            return
        visiting.append(one)
        for other in document.data["options"][one].get("needs", ()):
            visit(other)
        found.append(one)

    visiting: list[str] = []
    visit(name)
    return tuple(found)


def check(document: Document, words: dict[str, str], known: Sequence[Problem]) -> list[Problem]:
    """What is wrong with the rig that each option of ``document`` makes, besides what is ``known`` to be wrong without it."""
    problems: list[Problem] = []
    said = {(p.file, p.line, p.column, p.found) for p in known}
    for name in _usable(document):
        try:
            made = patched(document, words, with_needs(document, name))
        except FileProblems as unusable:
            problems += unusable.problems
        else:
            problems += unsound(made)
    return [p for p in problems if (p.file, p.line, p.column, p.found) not in said]


def _usable(document: Document) -> list[str]:
    """The options whose entries are well formed; the others have problems of their own."""
    entries = document.data.get("options")
    options = entries if isinstance(entries, dict) else {}
    sound = [name for name, entry in options.items() if isinstance(entry, dict) and isinstance(entry.get("change"), dict)]
    return [name for name in sound if all(other in sound for other in _needs(document, name))]


def _needs(document: Document, name: str) -> list[Any]:
    needs = document.data["options"][name].get("needs", [])
    return needs if isinstance(needs, list) else [None]


def unsound(made: Patched) -> list[Problem]:
    """Every way in which a changed rig breaks the schema or points at nothing."""
    _, implausible = stated.figures(made.document)
    return [*validate.check(made.document), *implausible, *coherence.check(made.document, tickets=made.tickets)]


def written_paths(document: Document, name: str) -> dict[Key, Any]:
    """What an option's change writes: the path of every plain value (or thing taken away), with the value."""
    change = document.data["options"][name]["change"]
    plain: dict[Key, Any] = {path: value for path, value in documents.walk(change) if not isinstance(value, dict)}
    return plain | {(part,): name for part in PARTS if _other_file(change.get(part))}


def patched(document: Document, words: dict[str, str], names: Sequence[str]) -> Patched:
    """``document`` with these options, in this order. Raises FileProblems for what cannot be applied."""
    plain = {key: value for key, value in document.data.items() if key != "options"}
    made, problems, replaced, own = replace(document, data=plain), [], set(), False
    words = {path: word for path, word in words.items() if not path.startswith("options.")} | _words_of(words, names)
    for name in names:
        at: Key = ("options", name, "change")
        change = document.data["options"][name]["change"]
        own = own or "weighings" in change
        for part in PARTS:
            source = _other_file(change.get(part))
            if source is None:
                continue
            where: Key = (*at, part, FROM) if isinstance(change[part], dict) else (*at, part)
            other = _part_of(document, where, source, part)
            made, change = patch.grafted(made, other, part), {**change, part: _without_from(change[part])}
            words = {path: word for path, word in words.items() if not path.startswith(f"{part}.")}
            replaced.add(part)
        made, missing = patch.laid_over(made, change, at)
        problems += missing
    if problems:
        raise FileProblems(problems)
    made, refused = _rated(replace(document, data=plain), made, replaced)
    return Patched(made, words, frozenset(replaced), refused, own)


def _words_of(words: dict[str, str], names: Sequence[str]) -> dict[str, str]:
    """The label words the changes themselves use, by the path they stand for."""
    prefixes = [f"options.{name}.change." for name in names]
    return {path.removeprefix(p): word for p in prefixes for path, word in words.items() if path.startswith(p)}


def _other_file(value: Any) -> str | None:
    """The file that ``from other.yaml`` or ``{from: other.yaml, …}`` names; None when the change names none."""
    if isinstance(value, str):
        found = _FROM_TEXT.match(value)
        return found[1] if found else None
    source = value.get(FROM) if isinstance(value, dict) else None
    return source if isinstance(source, str) else None


def _without_from(value: Any) -> dict[str, Any]:
    return {key: inner for key, inner in value.items() if key != FROM} if isinstance(value, dict) else {}


def _part_of(document: Document, at: Key, source: str, part: str) -> Document:
    """The other rig file, canonical, whose ``part`` is wanted. Raises FileProblems."""
    folder = Path(document.file).parent
    expected = f"the name of another rig file in this file's folder, such as other-{part.replace('_', '-')}.yaml"

    def refused(found: str, cure: str) -> FileProblems:
        return FileProblems([document.problem(at, found, expected, cure)])

    try:
        target = (folder / source).resolve()
        inside, itself = target.is_relative_to(folder.resolve()), target == Path(document.file).resolve()
    except (OSError, ValueError, RuntimeError):
        raise refused(f"the file {shown(source)}", "check the name") from None
    if not inside:
        raise refused(f"{shown(source)}, which is outside this file's folder", "copy the file into the folder")
    if itself:
        raise refused(f"{shown(source)}, which is this very file", "name the file that holds the other one")
    if not target.is_file():
        raise refused(f"{shown(source)}, which is no file", "check the name, and that the file is in the folder")
    read = documents.read(folder / source)
    if read.problems:
        raise FileProblems(read.problems)
    other, _, twice = synonyms.canonical(read)
    if twice:
        raise FileProblems(twice)
    found = other.data.get(part)
    if not isinstance(found, dict):
        again = _other_file(found) is not None
        what = f"a {part} from yet another file" if again else f"no mapping {part}"
        raise refused(f"{shown(source)}, which has {what}", f"name the file that holds the {part} itself")
    return other


def _rated(base: Document, made: Document, replaced: set[str]) -> tuple[Document, tuple[str, ...]]:
    """``made`` with every uncertified change of a rating put back, and what was refused."""
    before, after = dict(_ratings(base.data)), dict(_ratings(made.data))
    refused: list[str] = []
    for path in dict.fromkeys((*before, *after)):
        new = after.get(path)
        if path[0] not in replaced and not _accepted(before.get(path), new):
            own = dotted(made.as_written(path)).partition(".change.")[2] or dotted(path)
            refused.append(f"{own} {'taken away' if new is None else _in_words(new)}")
            made = patch.put_back(made, base, path)
    return made, tuple(refused)


def _ratings(data: Any, patterns: Sequence[tuple[str, ...]] = _RATINGS, path: Key = ()) -> Iterator[tuple[Key, Any]]:
    """Every rating of a rig by path."""
    inside = data if isinstance(data, dict) else {}
    for head, *rest in patterns:
        for name in inside if head == "*" else [head] if head in inside else []:
            here = (*path, name)
            if rest:
                yield from _ratings(inside[name], [tuple(rest)], here)
            else:
                yield here, inside[name]


def _accepted(old: Any, new: Any) -> bool:
    """Whether a rating stays what it was, or has a certificate; of one with rows, each row. What is no figure is left to the
    schema, which says so."""
    if _figure(old) == _figure(new) or (isinstance(new, dict) and "certificate" in new):
        return True
    if not isinstance(new, dict) or "value" in new:
        return new is not None and not isinstance(_figure(new), float)
    rows = old if isinstance(old, dict) else {}
    return all(row in new for row in rows) and all(_accepted(rows.get(row), figure) for row, figure in new.items())


def _figure(node: Any) -> Any:
    """A rating's number in SI, so that two spellings of one figure are no change; of rows, each; its text when it is none."""
    if isinstance(node, dict) and "value" not in node:
        return {row: _figure(figure) for row, figure in node.items()}
    text = _in_words(node)
    try:
        return None if node is None else round(units.parse(text, "mass").si, 6)
    except units.NotAQuantity:
        return text


def _in_words(node: Any) -> str:
    """A rating as it is written."""
    if isinstance(node, dict) and "value" not in node:
        return ", ".join(f"{row} {_in_words(figure)}" for row, figure in node.items())
    return str(node.get("value") if isinstance(node, dict) else node)
