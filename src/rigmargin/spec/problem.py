"""What is wrong with a file, said so that its owner can mend it.

One class and its one-line form live here; deciding *what* is wrong belongs to the modules that read.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def printable(text: object) -> str:
    """``text`` on one line, with control and direction-changing characters made visible as escapes."""
    line = str(text)
    if line.isprintable():  # none of the characters looked for is, and nearly every text has none
        return line
    return _CONTROL.sub(lambda m: m.group().encode("unicode_escape").decode("ascii"), line)


def shown(value: object, most: int = 60) -> str:
    """A value from a file, quoted and shortened so that a message stays one readable line."""
    text = printable(value)
    return f"'{text if len(text) <= most else text[: most - 1] + '…'}'"


@dataclass(frozen=True, order=True, slots=True)
class Problem:
    """One mistake in one file, at one place."""

    file: str  # as the user named it
    line: int  # from 1; 0 when the whole file is meant
    column: int  # from 1; 0 when the whole file is meant
    path: str  # where in the data, such as "tow_vehicle.axles.rear.max_load"; empty for the file itself
    found: str  # what stands there
    expected: str  # what may stand there
    cure: str  # what to do about it

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return printable(f"{place}: {self.text}")

    @property
    def text(self) -> str:
        """What is wrong and what to do, without the file and the line."""
        path = f"{self.path}: " if self.path else ""
        return printable(f"{path}found {self.found}; expected {self.expected}; {self.cure}")


def first_at_each_place(problems: Iterable[Problem]) -> list[Problem]:
    """One problem for each place and path: what is wrong twice over is said once, in its most particular form."""
    kept: dict[tuple[str, int, int, str], Problem] = {}
    for problem in problems:
        kept.setdefault((problem.file, problem.line, problem.column, problem.path), problem)
    return list(kept.values())


class FileProblems(Exception):
    """A file that cannot be used, with everything that is wrong with it, sorted by line."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(problems))
        super().__init__("\n".join(map(str, self.problems)))


def named_from(problems: Iterable[Problem], folder: str) -> tuple[Problem, ...]:
    """The problems with their files named from a folder, which is the same on every machine; others keep their names."""
    top = folder.rstrip(os.sep) + os.sep
    return tuple(replace(problem, file=problem.file.removeprefix(top).replace(os.sep, "/")) for problem in problems)


def writable(path: str) -> str:
    """A file's name that can be written into any file: bytes of it that are no UTF-8 are shown as escapes."""
    return path.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")
