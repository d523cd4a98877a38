"""The rig files under a folder, by their path in it, in one order on every machine; and what else lies there.

A folder's hidden entries and links to folders are not followed, so that no walk runs in a circle. What cannot be looked at is
told, not passed over.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from rigmargin.spec.document import MAX_BYTES
from rigmargin.spec.problem import Problem
from rigmargin.spec.rig_files import looks_like_a_rig, named_like_a_rig


@dataclass(frozen=True, slots=True)
class Found:
    """One YAML file, or a folder that could not be looked into."""

    file: str  # its path in the folder, with "/" on every machine
    raw: bytes = b""
    problem: Problem | None = None  # why it could not be read
    is_rig: bool = True  # its top says so; what cannot be read is taken for one


def paths(folder: Path, passed_over: Collection[Path] = ()) -> Iterator[tuple[str, OSError | None]]:
    """The paths of the YAML files under ``folder``, sorted; a folder that cannot be opened comes with its error.

    ``passed_over`` are folders that hold something else: what earlier runs wrote, for example.
    """
    found: list[tuple[str, OSError | None]] = []
    away = {each.resolve() for each in passed_over}

    def told(error: OSError) -> None:
        found.append((_inside(folder, str(error.filename)), error))

    for here, folders, files in os.walk(folder, onerror=told):
        folders[:] = [f for f in folders if not f.startswith(".") and Path(here, f).resolve() not in away]
        found += [(_inside(folder, os.path.join(here, f)), None) for f in files if named_like_a_rig(f) and f[0] != "."]
    return iter(sorted(found, key=lambda pair: pair[0]))


def _inside(folder: Path, path: str) -> str:
    return os.path.relpath(path, folder).replace(os.sep, "/")


def take(folder: Path, file: str) -> Found:
    """The bytes of one file, or why there are none; never more of them than a rig file may have, and one."""
    path = folder / file
    try:
        if not path.is_file():
            if path.exists():
                raise OSError(0, "it is no regular file")
            path.stat()
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        return Found(file, problem=unreadable(file, error))
    if len(raw) > MAX_BYTES:
        found, expected = f"more than {MAX_BYTES} bytes", f"at most {MAX_BYTES} bytes (1 MiB)"
        return Found(file, problem=Problem(file, 0, 0, "", found, expected, "check that this is the right file"))
    return Found(file, raw, is_rig=looks_like_a_rig(raw))


def unreadable(file: str, error: OSError) -> Problem:
    """A file or folder that the machine would not give."""
    reason = (error.strerror or str(error)).lower()
    cure = "check that it is still there, and its permissions"
    return Problem(file, 0, 0, "", f"nothing that can be read ({reason})", "a YAML file", cure)
