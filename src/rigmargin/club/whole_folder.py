"""Several files of one folder rewritten: all of them or none, also when the machine stops in the middle.

Before anything is touched, the old and the new content of every file and a plan go into a folder of their own (``JOURNAL``).
Then each new content is put in its place by renaming: a file is old or new and never half, and what is left in the journal was
not put in its place. The plan is deleted last: that is the moment at which the change has happened. While the plan is there,
the change has not, and ``undo`` puts the old content back.
"""

from __future__ import annotations

import hashlib
import json
import os
import shlex
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from rigmargin.spec.problem import printable

JOURNAL = ".rigmargin-weigh-in"  # in the folder itself, so that it is on the same disk and is found again
_PLAN = "plan.json"


@dataclass(frozen=True, slots=True)
class Replacement:
    """One file's old and new content."""

    path: str  # below the folder, with "/"
    old: bytes
    new: bytes


class NotWritten(Exception):
    """Nothing was changed, or what was changed was put back; says why, and what is left to do."""


def unfinished(folder: Path) -> bool:
    """Whether an earlier run was stopped while it changed files of the folder."""
    return os.path.exists(folder / JOURNAL / _PLAN)  # False where one may not look


def stopped(folder: Path) -> tuple[Path, ...]:
    """The folders above and below this one, and itself, into which an earlier run was stopped while it wrote."""
    below = []
    for place, folders, _ in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        below.append(Path(place))
    return tuple(place for place in (*folder.resolve().parents, *below) if unfinished(place))


def half_written(place: Path) -> str:
    """What is wrong where a run was stopped, and the cure."""
    where = printable(str(place))
    return (
        f"an earlier weigh-in was stopped while it wrote into '{where}': some files there may hold its tickets and others not; "
        f"run rigmargin weigh-in TABLE {shlex.quote(where)} --write, which puts them back first"
    )


def replace_all(folder: Path, replacements: Sequence[Replacement]) -> None:
    """Replace the content of all these files. Raises NotWritten, with every file as it was before."""
    with _alone(folder):
        for place in stopped(folder):
            raise NotWritten(half_written(place))
        shut = [f"'{each.path}'" for each in replacements if _protected(folder / each.path)]
        if shut:
            raise NotWritten(f"write-protected: {', '.join(shut)}; allow writing to them, if that is meant")
        try:
            _prepare(folder, replacements)
        except OSError as error:
            _discard(folder)
            raise NotWritten(_reason(error)) from None
        try:
            for number, each in enumerate(replacements):
                if (folder / each.path).read_bytes() != each.old:
                    raise NotWritten(f"'{each.path}' has changed since it was read")
                os.replace(folder / JOURNAL / f"{number}.new", folder / each.path)
            for parent in {(folder / each.path).parent for each in replacements}:
                _sync(parent)
        except BaseException as error:  # also a keyboard's: nothing stays half done
            _undo(folder)
            if isinstance(error, OSError):
                raise NotWritten(_reason(error)) from None
            raise
        _done(folder)


def undo(folder: Path) -> tuple[str, ...]:
    """Put back what a stopped run has changed; the files that were put back. Raises NotWritten where that cannot be done."""
    with _alone(folder):
        return _undo(folder) if unfinished(folder) else ()


def _reason(error: OSError) -> str:
    where = f"'{error.filename}': " if error.filename else ""
    return f"{where}{error.strerror or error}"


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """One run at a time in one folder and in those above and below it; beside it others may run. Raises NotWritten.

    The folder is locked against everybody and those above it against who wants them whole, so that none above or below can be.
    Where the system knows no such lock, there is none.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    top = folder.resolve()
    handles = []
    try:
        for place in (top, *top.parents):
            try:
                handles.append(os.open(place, os.O_RDONLY))
            except OSError as error:
                if place == top:
                    raise NotWritten(_reason(error)) from None
                continue  # who may not read it cannot lock it
            try:
                fcntl.flock(handles[-1], (fcntl.LOCK_EX if place == top else fcntl.LOCK_SH) | fcntl.LOCK_NB)
            except BlockingIOError:
                where = "this folder or one below it" if place == top else f"'{place}'"
                raise NotWritten(f"another run is writing into {where}; try again when it has ended") from None
            except OSError:
                continue  # a disk without such locks
        yield
    finally:
        for handle in handles:
            os.close(handle)


def _prepare(folder: Path, replacements: Sequence[Replacement]) -> None:
    """The contents, then the plan: once that is there, ``undo`` can be relied on."""
    _discard(folder)
    journal = folder / JOURNAL
    journal.mkdir()
    plan = []
    for number, each in enumerate(replacements):
        _write(journal / f"{number}.old", each.old)
        _write(journal / f"{number}.new", each.new, like=folder / each.path)
        plan.append({"path": each.path, "old": _hash(each.old), "new": _hash(each.new)})
    _write(journal / f"{_PLAN}.part", json.dumps({"weigh_in": 1, "files": plan}, indent=1).encode())
    _sync(journal)
    os.replace(journal / f"{_PLAN}.part", journal / _PLAN)
    _sync(journal)
    _sync(folder)


def _undo(folder: Path) -> tuple[str, ...]:
    """Put back every file that holds its new content. Raises NotWritten, with the journal kept, where that cannot be done."""
    journal = folder / JOURNAL
    back, strange, spoilt = [], [], []
    try:
        for number, entry in enumerate(_plan(folder)):
            path, old = folder / entry["path"], journal / f"{number}.old"
            if (journal / f"{number}.new").exists():
                continue  # it was never put in its place
            now = _hash(path.read_bytes()) if path.is_file() and not path.is_symlink() else ""
            if now == entry["new"]:
                content = old.read_bytes()
                if _hash(content) != entry["old"]:
                    spoilt.append(f"'{entry['path']}'")
                    continue
                _write(journal / "back", content, like=path)
                os.replace(journal / "back", path)
                back.append(entry["path"])
            elif now != entry["old"]:
                strange.append(f"'{entry['path']}' (its old content is in {JOURNAL}/{old.name})")
    except OSError as error:
        raise NotWritten(f"{_reason(error)}; the old contents are kept in {journal}, and the next run tries again") from None
    if spoilt:
        cure = f"restore them from a copy, and delete {journal} when they are as they should be"
        raise NotWritten(f"the old content kept in {journal} is not what it was: {', '.join(spoilt)}; {cure}")
    if strange:
        cure = f"look at them, and delete {journal} when they are as they should be"
        raise NotWritten(f"changed since a run that was stopped: {', '.join(strange)}; {cure}")
    _done(folder)
    return tuple(back)


def _plan(folder: Path) -> list[dict[str, str]]:
    """The files of the plan. Raises NotWritten for a plan that was not written here."""
    journal = folder / JOURNAL
    try:
        files: Any = json.loads((journal / _PLAN).read_bytes())["files"]
        entries = [{key: str(entry[key]) for key in ("path", "old", "new")} for entry in files]
    except (ValueError, KeyError, TypeError):
        raise NotWritten(f"{journal / _PLAN} cannot be read; look at the files, and delete {journal}") from None
    for entry in entries:
        path = PurePosixPath(entry["path"])
        inside = not path.is_absolute() and ".." not in path.parts
        if not inside or not (folder / path).parent.resolve().is_relative_to(folder.resolve()):
            raise NotWritten(f"{journal / _PLAN} names a file outside the folder; look at it, and delete {journal}")
    return entries


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _write(path: Path, content: bytes, like: Path | None = None) -> None:
    """Content that lasts, with the permissions of the file it is to replace."""
    with path.open("wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    if like:
        shutil.copymode(like, path)


def _sync(folder: Path) -> None:
    """Make the names in a folder last, where the system can."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _protected(path: Path) -> bool:
    """Whether a file is marked as not to be written; renaming another into its place would not ask."""
    return path.exists() and (not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK))


def _done(folder: Path) -> None:
    """Delete the plan, for good: from here on the change has happened, or is undone. Raises NotWritten."""
    try:
        (folder / JOURNAL / _PLAN).unlink()
    except OSError as error:
        raise NotWritten(f"{_reason(error)}; the next run puts the old contents back") from None
    with suppress(OSError):  # it is done; a disk that cannot promise it changes nothing in that
        _sync(folder / JOURNAL)
    _discard(folder)


def _discard(folder: Path) -> None:
    """Delete what is left of a journal without a plan."""
    shutil.rmtree(folder / JOURNAL, ignore_errors=True)
