"""The rig files of one side of a comparison, as a commit or the work tree holds them, read and judged.

What a commit holds is laid out in a folder of its own before it is read: a rig file and the files its options name, nothing
else. So both sides go through the one door through which every rig file is read.
"""

from __future__ import annotations

import os
import posixpath
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from rigmargin.club.git import Repository
from rigmargin.judge.finding import Report
from rigmargin.judge.plugins import Ruleset
from rigmargin.judge.run import judge
from rigmargin.spec import document, options
from rigmargin.spec.problem import FileProblems, Problem, named_from
from rigmargin.spec.rig import build
from rigmargin.spec.settings import Settings


class Side(Protocol):
    """A commit, or the work tree."""

    root: Path  # the folder in which its files are read

    def names(self) -> Iterable[str]:
        """The path of every file."""

    def raw(self, paths: Iterable[str]) -> dict[str, bytes]:
        """The contents of some of its files, by path; what cannot be read is left out."""

    def ready(self, path: str) -> frozenset[str]:
        """See to it that a rig file, and what it names, can be read below ``root``.

        The result is what it names that lies in the work tree only, and so is not on this side.
        """


class AtCommit:
    """The files of a commit."""

    def __init__(self, repository: Repository, commit: str, root: Path) -> None:
        self.repository, self.root = repository, root
        self.files = repository.files(commit)

    def names(self) -> Iterable[str]:
        """The path of every file."""
        return self.files

    def raw(self, paths: Iterable[str]) -> dict[str, bytes]:
        """The contents of some of its files; of one that is too large to be read, the beginning.

        Raises Unreadable when the repository lacks one.
        """
        ids = {path: self.files[path] for path in paths if path in self.files}
        found = self.repository.contents(ids.values(), document.MAX_BYTES)
        return {path: found[each] for path, each in ids.items()}

    def ready(self, path: str) -> frozenset[str]:
        """Lay out a rig file and the files its options name. Raises OSError when there is no room."""
        text = self.raw([path])
        named = others(path, text.get(path, b""))
        for name, content in (*text.items(), *self.raw(named).items()):
            target = self.root / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
            if len(content) > document.MAX_BYTES:  # not laid out whole, and as long as it is: it is refused for its length
                os.truncate(target, self.repository.size(self.files[name]))
        here = () if self.repository.bare else named
        return frozenset(name for name in here if name not in self.files and (self.repository.top / name).is_file())


class Now:
    """The files of the work tree."""

    def __init__(self, repository: Repository) -> None:
        self.root = repository.top
        self.files = repository.files_now()

    def names(self) -> Iterable[str]:
        """The path of every file."""
        return self.files

    def raw(self, paths: Iterable[str]) -> dict[str, bytes]:
        """The contents of some of its files; of one that is too large to be read, the beginning."""
        found = {}
        for path in paths:
            try:
                with (self.root / path).open("rb") as stream:
                    found[path] = stream.read(document.MAX_BYTES + 1)
            except OSError:
                continue
        return found

    def ready(self, path: str) -> frozenset[str]:
        """Nothing is to be done: they lie where they are read."""
        return frozenset()


def judged(
    side: Side, path: str, ruleset: Ruleset, settings: Settings, *, options_too: bool = True
) -> Report | tuple[Problem, ...]:
    """A rig file read and judged, or why it cannot be read; problems name their files from the repository's top.

    The file is ready. Its options change no finding, and where a file they name is not there, are not read.
    """
    try:
        read = document.read(side.root / path)
        data = read.data if options_too else {key: value for key, value in read.data.items() if key != "options"}
        rig = build(replace(read, settings=settings, data=data))
    except FileProblems as unreadable:
        return named_from(unreadable.problems, str(side.root))
    return judge(rig, ruleset)


def others(path: str, raw: bytes) -> tuple[str, ...]:
    """The files that the options of a rig file name, by path from the top; none where the file cannot be read."""
    folder = posixpath.dirname(path)
    return tuple(posixpath.normpath(posixpath.join(folder, name)) for name in options.named_by(raw))
