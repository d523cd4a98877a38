"""The rig files of a folder, and which of them a text means: a path below the folder, or a rig's name."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from rigmargin.club.files import Found, paths, take, unreadable
from rigmargin.spec import document as documents
from rigmargin.spec.problem import FileProblems, Problem
from rigmargin.spec.settings import NONE, Settings


@dataclass(frozen=True)
class Folder:
    """The rig files below a folder. What is hidden or a link is passed over."""

    top: Path
    settings: Settings = NONE  # what its rigs are read by

    @cached_property
    def _walked(self) -> tuple[dict[str, Path], list[Problem]]:
        found, closed = {}, []
        for file, error in paths(self.top):
            if error:
                closed.append(replace(unreadable(file, error), expected="a folder that can be looked into"))
            elif not (self.top / file).is_symlink() and take(self.top, file).is_rig:
                found[file] = self.top / file
        return found, closed

    @property
    def files(self) -> dict[str, Path]:
        """Every rig file by its path below the folder, with ``/``, in order."""
        return self._walked[0]

    @property
    def closed(self) -> list[Problem]:
        """The folders in it that cannot be looked into."""
        return self._walked[1]

    @cached_property
    def _read(self) -> tuple[dict[str, list[str]], dict[str, str]]:
        names: dict[str, list[str]] = {}
        unread: dict[str, str] = {}
        for file in self.files:
            found = take(self.top, file)
            try:
                names.setdefault(_name(found), []).append(file)
            except FileProblems:
                unread[file] = found.raw.decode("utf-8", "replace")
        return names, unread

    @property
    def names(self) -> dict[str, list[str]]:
        """The files by the name of their rig; those that cannot be read have none."""
        return self._read[0]

    @property
    def unread(self) -> tuple[str, ...]:
        """The files and folders of which nobody can say what rigs they hold."""
        return (*self._read[1], *(problem.file for problem in self.closed))

    def find(self, text: str) -> list[str]:
        """The files that a row may mean by its rig's path or name; a file that cannot be read by what its text looks like."""
        if self.is_path(text):
            return [_path(text)]
        if not text:
            return []
        looks = re.compile(rf"""\bname["']?\s*:\s*["']?{re.escape(text)}["']?\s*(?:[#,}}]|$)""", re.MULTILINE)
        maybe = [file for file, raw in self._read[1].items() if looks.search(raw)]
        return sorted([*self.names.get(text, []), *maybe])

    def is_path(self, text: str) -> bool:
        """Whether a text is the path of a rig file."""
        return _path(text) in self.files


def _path(text: str) -> str:
    return text.replace("\\", "/").removeprefix("./")


def _name(found: Found) -> str:
    """The name of a rig. Raises FileProblems."""
    if found.problem:
        raise FileProblems([found.problem])
    return str(documents.decode(found.raw, found.file).data.get("name", "")).strip()
