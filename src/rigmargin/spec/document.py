"""YAML text to plain data, with the line and column of every key and every value.

The reader keeps to what JSON can say: mappings with text keys, lists, text, numbers, true, false and null. Plain scalars
are read by JSON's own rules, so ``no``, ``1:30``, ``010`` and dates stay text. Anchors, aliases, merges, tags, second
documents and duplicate keys are refused. Meaning (fields, units) is not this module's business.
"""

from __future__ import annotations

import codecs
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import yaml

from rigmargin.spec import plain, syntax
from rigmargin.spec.problem import FileProblems, Problem, shown
from rigmargin.spec.settings import NONE, Settings
from rigmargin.spec.syntax import UNPRINTABLE, Place, scalar

Key = tuple[str | int, ...]  # a place in the data: mapping keys and list positions

MAX_BYTES = 1024 * 1024
MAX_DEPTH = syntax.MAX_DEPTH
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # libyaml where it is built in; the same events either way


@dataclass(frozen=True, slots=True)
class Document:
    """One file's data and where each piece of it stands."""

    file: str
    data: Any
    values: dict[Key, Place]  # where each value starts
    keys: dict[Key, Place]  # where each mapping key stands, by the path of its value
    problems: tuple[Problem, ...] = ()  # what the text does that a rig file may not, though its data could be read
    written: dict[Key, Key] = field(default_factory=dict)  # the path in the owner's own words, where fields were renamed
    files: dict[Key, str] = field(default_factory=dict)  # the file of what came from another one, by the path it has here
    settings: Settings = NONE  # what the file is read by
    raw: bytes = b""  # the file's own; none for text that is in no file

    def place(self, path: Key) -> Place:
        """Line and column of the value at ``path``, or of its nearest parent that has one."""
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, (1, 1))

    def key_place(self, path: Key) -> Place:
        """Line and column of the name (or list entry) at ``path``, or of its nearest parent that is in the file."""
        while path and path not in self.keys and path not in self.values:
            path = path[:-1]
        return self.keys.get(path) or self.values.get(path, (1, 1))

    def problem(self, path: Key, found: str, expected: str, cure: str, *, at_key: bool = False) -> Problem:
        """A Problem at ``path`` of this document, in its owner's words; ``at_key`` points at the key instead of its value."""
        line, column = self.key_place(path) if at_key else self.place(path)
        return Problem(self.file_of(path), line, column, dotted(self.as_written(path)), found, expected, cure)

    def file_of(self, path: Key) -> str:
        """The file in which ``path`` stands."""
        if not self.files:
            return self.file
        return next((self.files[p] for p in _upwards(path) if p in self.files), self.file)

    def as_written(self, path: Key) -> Key:
        """``path`` in the owner's own words; of what is not there, as far as it is."""
        known = next((p for p in _upwards(path) if p in self.written), ())
        return (*self.written.get(known, ()), *path[len(known) :])


def _upwards(path: Key) -> Iterator[Key]:
    """``path`` and every path above it, the nearest first."""
    return (path[:n] for n in range(len(path), 0, -1))


def dotted(path: Key) -> str:
    """``("weighings", 0, "front")`` as ``weighings[0].front``."""
    text = ""
    for part in path:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def read(path: str | Path) -> Document:
    """Read one YAML file. Raises FileProblems when it cannot be read as described above."""
    name, target = str(path), Path(path)
    try:
        mode = target.stat()
        if not stat.S_ISREG(mode.st_mode):
            what = "a folder" if stat.S_ISDIR(mode.st_mode) else "something that is not a file"
            raise _whole(name, what, "one YAML file", "name the file itself")
        if mode.st_size > MAX_BYTES:
            raise _too_large(name, mode.st_size)
        with target.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise _whole(name, f"no readable file ({reason})", "a YAML file", "check the name and its permissions") from None
    except ValueError:
        raise _whole(name, "a name no file can have", "the name of a YAML file", "check the name") from None
    return decode(raw, name)


def decode(raw: bytes, name: str) -> Document:
    """The same from the bytes of a file, for files that are not on disk. Raises FileProblems."""
    if len(raw) > MAX_BYTES:
        raise _too_large(name, len(raw))
    bare = raw.removeprefix(codecs.BOM_UTF8)
    try:
        text = bare.decode("utf-8")
    except UnicodeDecodeError as error:
        line = bare.count(b"\n", 0, error.start) + 1
        before = bare[bare.rfind(b"\n", 0, error.start) + 1 : error.start].decode("utf-8")
        column = len(before) + 1
        raise FileProblems(
            [Problem(name, line, column, "", f"the byte 0x{bare[error.start]:02x}", "text in UTF-8", "save the file as UTF-8")]
        ) from None
    return replace(parse(text, name), raw=raw)


def parse(text: str, file: str) -> Document:
    """Parse YAML text that came from ``file``. Raises FileProblems when no data can be got out of it at all."""
    found = plain.read(text, _LOADER)
    return Document(file, *found) if found else carefully(text, file)


def carefully(text: str, file: str) -> Document:
    """The same, slower, with everything that ``plain`` leaves to a closer look."""
    builder = _Builder(file)
    broken = True
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
            if builder.documents > 1:
                break
        broken = False
    except yaml.reader.ReaderError as error:
        position = error.position if isinstance(error.position, int) else 0
        # libyaml counts bytes, the Python reader characters: find the character itself
        offset = next((i for i, c in enumerate(text) if ord(c) == error.character), position)
        line, column = text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset)
        builder.refuse((line, column), (), f"the control character U+{int(error.character):04X}", "printable text", "delete it")
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        builder.refuse(place, (), *syntax.explain(text, place, error))
    except _TooDeep:
        pass
    if not broken and not isinstance(builder.data, dict):
        what = "a list" if isinstance(builder.data, list) else "nothing" if builder.data is None else "a single value"
        raise _whole(file, what, "a mapping of fields, one 'name: value' a line", "begin the file with its first field")
    if broken:
        raise FileProblems(builder.problems)
    return Document(file, builder.data, builder.values, builder.keys, tuple(builder.problems))


def _whole(file: str, found: str, expected: str, cure: str) -> FileProblems:
    return FileProblems([Problem(file, 0, 0, "", found, expected, cure)])


def _too_large(file: str, size: int) -> FileProblems:
    return _whole(file, f"{size} bytes", f"at most {MAX_BYTES} bytes (1 MiB)", "check that this is the right file")


class _TooDeep(Exception):
    """Raised to stop at a nesting no real file has."""


@dataclass(slots=True)
class _Open:
    """A mapping or list that is being filled."""

    path: Key
    data: Any
    key: str | None = None  # the mapping key that waits for its value
    drop: bool = False  # the value that comes next has a key that no field can have: it is read and not kept


@dataclass(slots=True)
class _Builder:
    file: str
    data: Any = None
    values: dict[Key, Place] = field(default_factory=dict)
    keys: dict[Key, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    stack: list[_Open] = field(default_factory=list)
    documents: int = 0
    within_key: int = 0  # how many levels deep the reader is inside a key that is itself a list or mapping

    def refuse(self, place: Place, path: Key, found: str, expected: str, cure: str) -> None:
        self.problems.append(Problem(self.file, *place, dotted(path), found, expected, cure))

    def take(self, event: yaml.Event) -> None:
        assert event.start_mark is not None  # both parsers mark every event
        place = (event.start_mark.line + 1, event.start_mark.column + 1)
        if self.within_key:
            self.within_key += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        elif isinstance(event, yaml.ScalarEvent):
            self._scalar(event, place)
        elif isinstance(event, yaml.CollectionStartEvent):
            self._open(event, place)
        elif isinstance(event, yaml.CollectionEndEvent):
            self.stack.pop()
        elif isinstance(event, yaml.AliasEvent):
            self._alias(event, place)
        elif isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents == 2:
                self.refuse(place, (), "a second document ('---')", "one document a file", "put it in a file of its own")

    def _wants_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].data, dict) and self.stack[-1].key is None

    def _path(self) -> Key:
        if not self.stack:
            return ()
        top = self.stack[-1]
        if isinstance(top.data, list):
            return (*top.path, len(top.data))
        return (*top.path, top.key if top.key is not None else "?")

    def _put(self, value: Any, place: Place) -> Key:
        path = self._path()
        if not self.stack:
            self.data = value
        elif isinstance(self.stack[-1].data, list):
            self.stack[-1].data.append(value)
        else:
            if not self.stack[-1].drop:
                self.stack[-1].data[self.stack[-1].key] = value
            self.stack[-1].key, self.stack[-1].drop = None, False
        self.values[path] = place
        return path

    def _marks(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent, place: Place, path: Key) -> None:
        if event.anchor:
            found = f"the anchor {shown('&' + event.anchor)}"
            self.refuse(place, path, found, "plain values", "delete it, and write the value out where it is needed")
        if event.tag and event.tag != "!":
            found = f"the tag {shown(event.tag.replace('tag:yaml.org,2002:', '!!'))}"
            self.refuse(place, path, found, "plain values", "delete the tag; put text in quotes if it must stay text")

    def _text(self, text: str, place: Place, path: Key) -> None:
        """Refuse what cannot be printed: no such character passes the reader, but an escape in a quoted text can say it."""
        odd = UNPRINTABLE.search(text)
        if odd:
            self.refuse(place, path, f"the control character U+{ord(odd.group()):04X}", "printable text", "delete it")

    def _scalar(self, event: yaml.ScalarEvent, place: Place) -> None:
        plain = event.style is None or event.style == ""
        if self._wants_key():
            self._key(str(event.value), place, plain)
            path = self._path()
        else:
            path = self._put(scalar(event.value) if plain else event.value, place)
        self._marks(event, place, path)
        self._text(event.value, place, path)

    def _key(self, name: str, place: Place, plain: bool) -> None:
        top = self.stack[-1]
        path = (*top.path, name)
        if name == "<<" and plain:
            self.refuse(place, path, "the merge key '<<'", "plain fields", "write the fields out here")
            top.drop = True
        elif name in top.data:
            line, column = self.keys[path]
            self.refuse(
                place,
                path,
                f"{shown(name)} a second time",
                f"it once (it stands at {line}:{column})",
                "delete or rename one of the two",
            )
        else:
            self.keys[path] = place
        top.key = name

    def _open(self, event: yaml.CollectionStartEvent, place: Place) -> None:
        if self._wants_key():
            cure = "give the field a plain name; put text that begins with a bracket in quotes"
            self.refuse(place, self.stack[-1].path, "a list or mapping as a name", "text as a name", cure)
            self.stack[-1].key, self.stack[-1].drop = "?", True
            self.within_key = 1
            return
        if len(self.stack) >= MAX_DEPTH:
            self.refuse(place, (), *syntax.TOO_DEEP)
            raise _TooDeep
        self._marks(event, place, self._path())
        data: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
        self.stack.append(_Open(self._put(data, place), data))

    def _alias(self, event: yaml.AliasEvent, place: Place) -> None:
        found = f"the alias {shown(f'*{event.anchor}')}"
        if self._wants_key():
            self.refuse(
                place,
                self.stack[-1].path,
                found,
                "plain names",
                "write the name out here; put text that begins with * in quotes",
            )
            self.stack[-1].key, self.stack[-1].drop = "?", True
            return
        self.refuse(place, self._path(), found, "plain values", "write the value out here")
        self._put(None, place)


def walk(data: Any, path: Key = ()) -> Iterator[tuple[Key, Any]]:
    """Every value of ``data`` with its path, parents before children."""
    yield path, data
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield from walk(value, (*path, key))
