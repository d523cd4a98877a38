"""The files of one run, written while the rigs go by: each rig's pages, its lines in the table of findings, and its row."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Self
from urllib.parse import quote

from rigmargin.club import one, row
from rigmargin.club.last import Last, Old
from rigmargin.club.one import Done
from rigmargin.club.output import FINDINGS, RIGS, ROWS, SHEETS
from rigmargin.club.row import Row

LONGEST = 180  # bytes of a name before the ending; file systems take 255
#: What may stand in a file's name on every system, besides letters and digits of any script.
_PLAIN = " !#$&'()+,-.;=@[]^_`{}~/"


class Writer(contextlib.AbstractContextManager["Writer"]):
    """Writes to ``new``; what it may use again lies in ``last``."""

    def __init__(self, new: Path, last: Last) -> None:
        self._new, self._last = new, last
        self._made: set[Path] = set()
        self._order: list[tuple[tuple[object, ...], int]] = []  # how each row sorts, and where it stands

    def __enter__(self) -> Self:
        self._rows = (self._new / ROWS).open("wb")
        self._findings = (self._new / FINDINGS).open("wb")
        self._findings.write(one.table([list(one.COLUMNS)]).encode())
        return self

    def __exit__(self, *_: object) -> None:
        self._rows.close()
        self._findings.close()

    def add(self, done: Done) -> Row:
        """Write what came of one rig."""
        pages = [(page_name(done.row.file, kind), text.encode("utf-8", "backslashreplace")) for kind, text in done.pages]
        for name, raw in pages:
            self._path(name).write_bytes(raw)
        return self._put(replace(done.row, pages=tuple((name, len(raw)) for name, raw in pages)), done.findings.encode())

    def again(self, old: Old) -> Row:
        """Put what the last run wrote of one rig in its place in this one."""
        found = self._last.row(old)
        for name, _ in found.pages:
            _copy(self._last.out / name, self._path(name))
        return self._put(found, self._last.findings(found))

    def _put(self, found: Row, findings: bytes) -> Row:
        begin = self._findings.tell()
        self._findings.write(findings)
        found = replace(found, findings=(begin, begin + len(findings)))
        self._order.append((found.order, self._rows.tell()))
        self._rows.write(found.line().encode())
        return found

    def _path(self, name: str) -> Path:
        path = self._new / name
        if path.parent not in self._made:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._made.add(path.parent)
        return path

    def worst_first(self) -> Iterator[Row]:
        """Every row that was written, the worst first."""
        with (self._new / ROWS).open("rb") as stream:
            for _, offset in sorted(self._order):
                stream.seek(offset)
                yield row.read(stream.readline())


def _copy(old: Path, new: Path) -> None:
    """The same file in another folder: a link to it where there can be one, for nothing ever writes to a page again."""
    try:
        os.link(old, new)
    except OSError:
        shutil.copyfile(old, new)


def page_name(file: str, kind: str) -> str:
    """Where a rig's page lies in the output folder: its own path, with what no system's file name may hold as ``%xx``."""
    top, ending = (SHEETS, ".html") if kind == "sheet" else (RIGS, kind)
    *folders, name = [_plain(part) for part in file.split("/")]
    clear = ["%2E".join(folder.rsplit(".", 1)) for folder in folders]
    return "/".join([top, *clear, f"{name}{ending}"])  # a folder may be called as another rig's page is, but for its dot


def _plain(part: str) -> str:
    raw = os.fsencode(part)
    text = "".join(c if c.isalnum() or c in _PLAIN else quote(os.fsencode(c)) for c in part)
    if part.strip(". ") != part:  # a dot or blank at the end, or a name that is all dots
        text = text.replace(".", "%2E").replace(" ", "%20")
    if len(text.encode()) > LONGEST:
        text = f"{text.encode()[: LONGEST - 20].decode('utf-8', 'ignore')}~{hashlib.sha256(raw).hexdigest()[:16]}"
    return text
