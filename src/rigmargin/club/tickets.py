"""A day's tickets as a table: a CSV file to rows of texts, each with its line and the number of its column.

The columns are the fields of a ticket in the rig file's schema, and ``rig``. What the texts may say is not this module's
business: they go into a rig file and are held to what a rig file may say.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from rigmargin.club.formula import unguarded
from rigmargin.spec import schema, units
from rigmargin.spec.document import Key
from rigmargin.spec.problem import FileProblems, Problem, shown

RIG = "rig"  # the column that says whose ticket it is
MAX_BYTES = 16 * 1024 * 1024
BETWEEN = "|"  # stands between names in one cell: no dialect of CSV and few names have it
_HEADER = re.compile(r"(.*?)(?:\s*\[([^\[\]]*)\])?\s*\Z", re.DOTALL)
_BARE = re.compile(r"[+-]?[0-9][0-9.,'’_\s]*\Z")
#: Beginnings that another program wrote, what they are and the cure: a line that tells a spreadsheet what stands between cells,
#: and a first line with tabs and no other sign between them.
_FOREIGN = (
    (
        r"\s*sep=.?[ \t]*(?=[\r\n]|\Z)",
        "a line 'sep='",
        "delete this line: the line with the columns' names says what stands between cells",
    ),
    (r"\s*[^,;\t\r\n]+\t[^,;\r\n]*(?=[\r\n]|\Z)", "cells apart by tabs", "save it as CSV with commas or semicolons"),
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the file."""

    name: str  # RIG or a ticket's field, such as "front" or "trailer_axles.tandem"
    number: int  # from 1
    unit: str  # of its bare numbers; empty when the head names none


@dataclass(frozen=True, slots=True)
class Row:
    """One line with something in it."""

    line: int
    texts: dict[str, str]  # what is in its cells, by column; no empty ones


@dataclass(frozen=True, slots=True)
class Table:
    """A day's tickets."""

    file: str
    columns: dict[str, Column]
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...] = ()  # with its head, and with cells that stand below no name

    @property
    def complete(self) -> bool:
        """Whether it has every column without which a ticket cannot be told."""
        return all(name in self.columns for name in required())

    def problem(self, row: Row, name: str, found: str, expected: str, cure: str) -> Problem:
        """A Problem with what one row says in one column; with the whole row for a column that the file has not."""
        number = self.columns[name].number if name in self.columns else 1
        return Problem(self.file, row.line, number, name, found, expected, cure)


@cache
def fields() -> dict[str, schema.Schema]:
    """The fields of a ticket that one cell can give, in the schema's order; a mapping's own fields as ``beam.…``."""
    found: dict[str, schema.Schema] = {}
    for name, node in _ticket()["properties"].items():
        if "x-dimension" not in node and "properties" in node:
            found |= {f"{name}.{part}": child for part, child in node["properties"].items()}
        else:
            found[name] = node
    return found


def _ticket() -> schema.Schema:
    return schema.at(("weighings", 0)) or {}


def required() -> tuple[str, ...]:
    """The columns that every table has. The day is one: a ticket without a day gives way to any that has one."""
    return (RIG, *_ticket()["required"], "on")


def field(name: str) -> schema.Schema | None:
    """What a column of that name holds; None when no ticket has such a field."""
    whole, dot, part = name.partition(".")
    each = fields().get(whole, {}).get("additionalProperties")
    return each if dot and part and isinstance(each, dict) else fields().get(name)


def key(name: str) -> Key:
    """Where a column's figure stands within a ticket."""
    whole, dot, part = name.partition(".")
    return (whole, part) if dot else (name,)


def read(path: str | Path) -> Table:
    """Read one CSV file. Raises FileProblems when it is no table of cells at all; other problems stand in the table."""
    file = str(path)
    text = _text(file)
    for beginning, found, cure in _FOREIGN:
        if match := re.match(beginning, text, re.IGNORECASE):
            line = text.count("\n", 0, match.end()) + 1
            raise FileProblems([Problem(file, line, 1, "", found, "the names of the columns", cure)])
    lines = list(_lines(file, text))
    if not lines:
        raise FileProblems([Problem(file, 0, 0, "", "nothing", "a head of columns and a line for each ticket", _TEMPLATE)])
    columns, problems = _head(file, *lines[0])
    unnamed = {number for number, cell in enumerate(lines[0][1], 1) if not cell}
    problems += [p for line, cells in lines[1:] for p in _stray(file, unnamed, len(columns), line, cells)]
    rows = [_row(columns, line, cells) for line, cells in lines[1:]]
    known = {column.name: column for column in columns if column}
    return Table(file, known, tuple(row for row in rows if row.texts), tuple(problems))


_TEMPLATE = "begin with the one that rigmargin weigh-in --template FOLDER prints"


def _text(file: str) -> str:
    try:
        raw = Path(file).read_bytes() if Path(file).stat().st_size <= MAX_BYTES else None
    except (OSError, ValueError) as error:
        reason = str(getattr(error, "strerror", None) or error).lower()
        cure = "check the name and its permissions"
        raise FileProblems([Problem(file, 0, 0, "", f"no readable file ({reason})", "a CSV file", cure)]) from None
    if raw is None:
        raise FileProblems([Problem(file, 0, 0, "", "a very large file", f"at most {MAX_BYTES} bytes", "check the name")])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        found, cure = f"the byte 0x{raw[error.start]:02x}", "save it from the spreadsheet as CSV in UTF-8"
        raise FileProblems([Problem(file, line, 1, "", found, "text in UTF-8", cure)]) from None


def _lines(file: str, text: str) -> Iterator[tuple[int, list[str]]]:
    """Each line that is not empty, with its number; one with a line break in quotes has that of its beginning."""
    head = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = ";" if head.count(";") > head.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins = 1
    try:
        for cells in reader:
            stripped = [unguarded(cell.strip()) for cell in cells]
            if any(stripped):
                yield begins, stripped
            begins = reader.line_num + 1
    except csv.Error as error:
        cure = "put a text with a quote or a line break in quotes, and double the quotes inside"
        raise FileProblems([Problem(file, begins, 1, "", f"a line that is no CSV ({error})", "cells of CSV", cure)]) from None


def _head(file: str, line: int, cells: Sequence[str]) -> tuple[list[Column | None], list[Problem]]:
    """The columns in order, None for those without a name and those with a problem."""
    columns: list[Column | None] = []
    problems: list[Problem] = []
    for number, cell in enumerate(cells, 1):
        head = _HEADER.match(cell)
        name, unit = (head[1].strip(), head[2]) if head else (cell, None)
        wrong = _wrong_head(name, unit, [column.name for column in columns if column]) if cell else None
        if wrong:
            problems.append(Problem(file, line, number, name, *wrong))
        columns.append(Column(name, number, unit or "") if cell and not wrong else None)
    for name in required():
        if not any(column and column.name == name for column in columns):
            what = str((field(name) or {}).get("description", "Which rig it is.")).partition(". ")[0]
            expected = f"a column '{name}': {what[:1].lower()}{what[1:].rstrip('.')}"
            problems.append(Problem(file, line, 1, name, f"no column '{name}'", expected, _TEMPLATE))
    return columns, problems


def _wrong_head(name: str, unit: str | None, before: Sequence[str]) -> tuple[str, str, str] | None:
    """Found, expected and cure for the head of a column; None when nothing is wrong with it."""
    if name in before:
        return f"the column {shown(name)} a second time", "each column once", "delete or rename one of the two"
    node = {} if name == RIG else field(name)
    if node is None:
        names = [RIG, *fields()]
        near = difflib.get_close_matches(name.lower().replace(" ", "_"), names, n=1, cutoff=0.7)
        cure = f"write {shown(near[0])}, if that is meant" if near else "delete the column, or say it in the column 'note'"
        return f"the unknown column {shown(name)}", f"one of {', '.join(names)}", cure
    if unit is None:
        return None
    known = units.UNITS.get(node.get("x-dimension", ""), ())
    if not known:
        return f"the unit {shown(unit)}", "no unit in the head of a column without quantities", "delete the brackets"
    if unit not in known:
        return f"the unit {shown(unit)}", f"one of {', '.join(known)}", "write one of these, or delete the brackets"
    return None


def _stray(file: str, unnamed: set[int], columns: int, line: int, cells: Sequence[str]) -> Iterator[Problem]:
    """The cells of a line that stand below no column's name."""
    for number, cell in enumerate(cells, 1):
        if cell and (number > columns or number in unnamed):
            found, cure = f"{shown(cell)} in column {number}", "check the cells of the line"
            yield Problem(file, line, number, "", found, "cells below a column's name only", cure)


def _row(columns: Sequence[Column | None], line: int, cells: Sequence[str]) -> Row:
    texts = {}
    for column, cell in zip(columns, cells, strict=False):
        if cell and column:
            texts[column.name] = f"{cell} {column.unit}" if column.unit and _BARE.match(cell) else cell
    return Row(line, texts)


def ticket(row: Row) -> dict[str, Any]:
    """A row as an entry of ``weighings``: texts in the schema's order, names in a list, a mapping for a mapping's parts."""
    order = list(_ticket()["properties"])
    found: dict[str, Any] = {}
    names = [name for name in row.texts if name != RIG]
    for name in sorted(names, key=lambda name: (order.index(key(name)[0]), len(key(name)))):  # a whole before its parts
        text = row.texts[name]
        first, *rest = key(name)
        if rest:
            inner = found.setdefault(str(first), {})
            if isinstance(inner, dict):
                inner[str(rest[0])] = text
            else:  # one figure for all beside one for an axle: what a rig file may say tells it
                found[str(first)] = {"value": inner, str(rest[0]): text}
        elif "x-aboard" in (field(name) or {}) and text not in ("all", "none"):
            found[name] = [part.strip() for part in text.split(BETWEEN) if part.strip()]
        else:
            found[name] = text
    return found
