"""What the last run left in the output folder, as far as a new run may use it again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rigmargin.club import row
from rigmargin.club.output import FINDINGS, ROWS, SUMMARY
from rigmargin.club.row import Row


def digest(path: Path) -> str:
    """What tells a file from every other. Raises OSError."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


@dataclass(frozen=True, slots=True)
class Old:
    """A row of the last run, by where it stands."""

    key: str
    offset: int  # in bytes


class Last:
    """The rows of an output folder by file; none where there is nothing whole to read."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.rows: dict[str, Old] = {}
        self.passed_over: tuple[str, ...] = ()
        try:
            self._ended = (out / SUMMARY).stat().st_mtime_ns
            summary = json.loads((out / SUMMARY).read_text("utf-8"))
            self.passed_over = tuple(summary["passed_over"])
            if all(digest(out / name) == known for name, known in summary["written"].items()):
                self.rows = {found.file: Old(found.key, offset) for offset, found in self._read() if self._whole(found)}
        except (OSError, ValueError, KeyError, TypeError):  # gone, of another version, or meddled with: judged anew
            self.rows = {}

    def _read(self) -> Iterator[tuple[int, Row]]:
        offset = 0
        with (self.out / ROWS).open("rb") as stream:
            for line in stream:
                yield offset, row.read(line)
                offset += len(line)

    def _whole(self, found: Row) -> bool:
        """Whether its pages are there, as long as they were and not changed since the run that wrote them."""
        for page, size in found.pages:
            try:
                now = (self.out / page).stat()
            except OSError:
                return False
            if now.st_size != size or now.st_mtime_ns > self._ended:
                return False
        return True

    def row(self, old: Old) -> Row:
        """The row itself."""
        with (self.out / ROWS).open("rb") as stream:
            stream.seek(old.offset)
            return row.read(stream.readline())

    def all(self) -> Iterator[Row]:
        """Every row, in the order of the files."""
        return (found for _, found in self._read())

    def findings(self, found: Row) -> bytes:
        """The lines of a row in the table of findings."""
        begin, end = found.findings
        with (self.out / FINDINGS).open("rb") as stream:
            stream.seek(begin)
            return stream.read(end - begin)
