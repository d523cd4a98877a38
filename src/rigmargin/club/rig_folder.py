"""The rig files of a folder, and which of them a text means: a path below the folder, or a rig's name."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from rigmargin.spec import document as documents
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig_files import looks_like_a_rig, named_like_a_rig
from rigmargin.spec.settings import NONE, Settings


@dataclass(frozen=True)
class Folder:
    """The rig files below a folder. What is hidden or a link is passed over."""

    top: Path
    settings: Settings = NONE  # what its rigs are read by

    @cached_property
    def files(self) -> dict[str, Path]:
        """Every rig file by its path below the folder, with ``/``, in order."""
        found = {}
        for place, folders, names in os.walk(self.top):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            for path in (Path(place) / name for name in names if named_like_a_rig(name) and not name.startswith(".")):
                if not path.is_symlink() and _looks_like_a_rig(path):
                    found[path.relative_to(self.top).as_posix()] = path
        return dict(sorted(found.items()))

    @cached_property
    def names(self) -> dict[str, list[str]]:
        """The files by the name of their rig; those that cannot be read have none."""
        found: dict[str, list[str]] = {}
        for file, path in self.files.items():
            try:
                found.setdefault(str(documents.read(path).data.get("name", "")).strip(), []).append(file)
            except FileProblems:
                continue
        return found

    def find(self, text: str) -> list[str]:
        """The files that a row may mean by its rig's path or name."""
        path = text.replace("\\", "/").removeprefix("./")
        return [path] if path in self.files else self.names.get(text, [])


def _looks_like_a_rig(path: Path) -> bool:
    try:
        with path.open("rb") as stream:
            return looks_like_a_rig(stream.read(documents.MAX_BYTES))
    except OSError:
        return True  # it may be one; reading it will say what is wrong
