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

from rigmargin.spec import coherence, makers, patch, stated, synonyms, validate
from rigmargin.spec import document as documents
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import FileProblems, Problem, shown

#: The parts of a rig that another file's can stand in for.
PARTS = ("tow_vehicle", "trailer")
FROM = "from"
_FROM_TEXT = re.compile(r"from (\S.*)\Z")
#: What is measured on a vehicle as it stands. An option changes the rig, and not what is known of it.
_MEASURED = (
    ("tow_vehicle", "unloaded"), ("tow_vehicle", "wheelbase"), ("trailer", "unloaded"), ("trailer", "coupling_to_axle_centre"),
)  # fmt: skip
#: What an option may bring that speaks of the rig with that option and of no other.
EVIDENCE_OF_A_RIG = ("weighings", "coupling_load")
#: What may be stated anew by an option, and never taken away.
_EVIDENCE = (("weighings",), ("coupling_load",), ("tow_vehicle", "coupling_behind_rear_axle"))


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
    refused: tuple[str, ...]  # what a change states in the maker's place without a certificate, in words; the old figures stand
    tickets: bool  # whether a change brings weighings of its own


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
            found = list(unusable.problems)
        else:
            found = unsound(made)
        fresh = [p for p in found if (p.file, p.line, p.column, p.found) not in said]
        problems += [_of_option(document, name, problem) for problem in fresh]
    return problems


def _of_option(document: Document, name: str, problem: Problem) -> Problem:
    """A problem that an option makes on a line of the file that is sound without it, told at the option."""
    if problem.file != document.file or problem.path.startswith("options."):
        return problem
    found = f"a rig that has, at {problem.path} (line {problem.line}), {problem.found}"
    return document.problem(("options", name, "change"), found, problem.expected, problem.cure)


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
    """What an option's change writes: the path of every value that is no mapping (or thing taken away), with the value."""

    def leaves(change: Any, path: Key) -> Iterator[tuple[Key, Any]]:
        if not isinstance(change, dict) or not change:
            yield path, change
            return
        for key, value in change.items():
            yield from leaves(value, (*path, key))

    plain: dict[Key, Any] = dict(leaves(document.data["options"][name]["change"], ()))
    return plain | {(part,): name for part in replaced_parts(document, name)}


def replaced_parts(document: Document, name: str) -> list[str]:
    """The PARTS that an option takes from another file."""
    change = document.data["options"][name]["change"]
    return [part for part in PARTS if _other_file(change.get(part))]


def other_files(data: Any) -> tuple[str, ...]:
    """The other files from which options of a file's data take a part, as they name them; the data need not be sound."""
    entries = data.get("options") if isinstance(data, dict) else None
    changes = [e.get("change") for e in entries.values() if isinstance(e, dict)] if isinstance(entries, dict) else []
    named = [_other_file(change.get(part)) for change in changes if isinstance(change, dict) for part in PARTS]
    return tuple(dict.fromkeys(name for name in named if name))


def named_by(raw: bytes) -> tuple[str, ...]:
    """The same of a rig file's bytes; none where they cannot be read."""
    if b"from" not in raw and b"\\" not in raw:  # a word can be written with escapes
        return ()
    try:
        return other_files(documents.decode(raw, "").data)
    except FileProblems:
        return ()


def patched(document: Document, words: dict[str, str], names: Sequence[str]) -> Patched:
    """``document`` with these options, in this order. Raises FileProblems for what cannot be applied."""
    plain = {key: value for key, value in document.data.items() if key != "options"}
    made, problems, replaced, refused = replace(document, data=plain), [], set(), []
    words = {path: word for path, word in words.items() if not path.startswith("options.")} | _words_of(words, names)
    for name in names:
        at: Key = ("options", name, "change")
        change = document.data["options"][name]["change"]
        for part in PARTS:
            source = _other_file(change.get(part))
            if source is None:
                continue
            where: Key = (*at, part, FROM) if isinstance(change[part], dict) else (*at, part)
            other, their_words = _part_of(document, where, source, part)
            made, change = patch.grafted(made, other, part), {**change, part: _without_from(change[part])}
            words = {path: word for path, word in words.items() if not path.startswith(f"{part}.")}
            words |= {path: word for path, word in their_words.items() if path.startswith(f"{part}.")}
            replaced.add(part)
        problems += _fixed(document, at, change)
        before = made
        made, missing = patch.laid_over(made, change, at, document.data)
        problems += missing
        made, stood = makers.makers_stand(before, made, change)
        refused += stood
    if problems:
        raise FileProblems(problems)
    own = any("weighings" in document.data["options"][name]["change"] for name in names)
    return Patched(made, words, frozenset(replaced), tuple(refused), own)


def _fixed(document: Document, at: Key, change: dict[str, Any]) -> list[Problem]:
    """Where a change writes what is measured on a vehicle as it stands, or takes evidence away."""
    problems = []
    path: Key
    for path in _MEASURED:
        if makers.written(change, path) is not makers.NOTHING:
            cure = "write what is fitted or taken off as a load item, or correct the file itself"
            found = f"{shown(path[-1])}, which is known of the vehicle as it stands"
            problems.append(document.problem((*at, *path), found, "what becomes different", cure, at_key=True))
    for path in _EVIDENCE:
        if makers.written(change, path) in (None, [], {}):
            found = f"{shown(path[-1])} taken away"
            cure = "delete the line: what is known stays known"
            problems.append(document.problem((*at, *path), found, "what becomes different", cure, at_key=True))
    return problems


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


def _part_of(document: Document, at: Key, source: str, part: str) -> tuple[Document, dict[str, str]]:
    """The other rig file, canonical, whose ``part`` is wanted, with its label words. Raises FileProblems."""
    folder = Path(document.file).parent
    expected = f"the name of another rig file in this file's folder, such as other-{part.replace('_', '-')}.yaml"

    def refused(found: str, cure: str) -> FileProblems:
        return FileProblems([document.problem(at, found, expected, cure)])

    try:
        target = (folder / source).resolve()
        inside, itself = target.is_relative_to(folder.resolve()), target == Path(document.file).resolve()
        there = target.is_file()
    except (OSError, ValueError, RuntimeError):
        raise refused(f"the file {shown(source)}, which cannot be opened", "check the name and its permissions") from None
    if not inside:
        raise refused(f"{shown(source)}, which is outside this file's folder", "copy the file into the folder")
    if itself:
        raise refused(f"{shown(source)}, which is this very file", "name the file that holds the other one")
    if not there:
        raise refused(f"{shown(source)}, which is no file", "check the name, and that the file is in the folder")
    read = documents.read(folder / source)
    if read.problems:
        raise FileProblems(read.problems)
    other, words, twice = synonyms.canonical(read)
    if twice:
        raise FileProblems(twice)
    found = other.data.get(part)
    if not isinstance(found, dict):
        again = _other_file(found) is not None
        what = f"a {part} from yet another file" if again else f"no mapping {part}"
        raise refused(f"{shown(source)}, which has {what}", f"name the file that holds the {part} itself")
    return other, words
