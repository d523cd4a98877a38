"""The output folder: made beside the old one and put in its place at once, so that a run that dies leaves the old one whole.

Where the system can exchange two folders in one step (Linux, macOS) there is no moment without a whole folder; elsewhere the
old one is moved aside first, and a run that dies between the two steps is mended by the next one.
"""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext, suppress
from pathlib import Path

from filelock import FileLock, Timeout

ROWS = "rows.jsonl"  # what a later run reads again; its presence says that a folder is ours
FINDINGS, SUMMARY, INDEX = "findings.csv", "summary.json", "index"
RIGS, SHEETS = "rigs", "sheets"  # folders of pages
#: The files that a run writes at the top of its folder.
OURS = frozenset({ROWS, FINDINGS, SUMMARY, f"{INDEX}.html", f"{INDEX}.md"})


class Unusable(Exception):
    """The output folder cannot be used; says why and what to do."""


@contextmanager
def held(out: Path) -> Iterator[None]:
    """Nobody else writes to ``out`` meanwhile. Raises Unusable when somebody does, or when ``out`` is not for us to replace."""
    check(out)
    out.parent.mkdir(parents=True, exist_ok=True)
    lock = FileLock(_beside(out, "lock"), timeout=0)
    try:
        with lock:
            _mend(out)
            check(out)
            yield
    except Timeout:
        raise Unusable(f"another run is writing to '{out}'; wait until it is done, or name another folder") from None


def _beside(out: Path, what: str) -> Path:
    return out.parent / f".{out.name}.{what}"


def check(out: Path) -> None:
    """Raise Unusable when ``out`` is there and holds anything that no run of ours wrote."""
    if not out.exists():
        return
    if not out.is_dir():
        raise Unusable(f"'{out}' is no folder; name one that is there or can be made")
    strange = sorted(_strange(out))
    if strange:
        more = f" and {len(strange) - 1} more" if len(strange) > 1 else ""
        raise Unusable(f"'{out}' holds '{strange[0]}'{more}, which no run of ours wrote; name a new or empty folder")


def _strange(out: Path) -> Iterator[str]:
    """What lies in a folder and is not what its own list of rows says we wrote."""
    ours = _written(out)
    for here, folders, files in os.walk(out):
        inside = os.path.relpath(here, out)
        yield from (name for name in (os.path.normpath(os.path.join(inside, file)) for file in files) if name not in ours)
        yield from (os.path.join(inside, name) for name in folders if os.path.islink(os.path.join(here, name)))
        if inside != "." and inside.split(os.sep)[0] not in (RIGS, SHEETS):
            yield inside


def _written(out: Path) -> set[str]:
    """The files that the list of rows in a folder is a list of; none where there is no such list."""
    try:
        lines = (out / ROWS).read_bytes().splitlines()
        pages = {os.path.normpath(page) for line in lines for page, _ in json.loads(line)["pages"]}
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    return pages | OURS


def _mend(out: Path) -> None:
    """Clear away what a run that died left behind."""
    old = _beside(out, "old")
    for left in (old, _beside(out, "new")):
        if left.is_symlink() or (left.exists() and next(left.iterdir(), None) and not (left / ROWS).is_file()):
            raise Unusable(f"'{left}' is in the way, and no run of ours wrote it; move it elsewhere")
    if old.exists() and not out.exists():
        old.rename(out)
    for left in (old, _beside(out, "new")):
        if left.exists():
            _clear(left)


@contextmanager
def replacing(out: Path) -> Iterator[Path]:
    """An empty folder to write to, which takes the place of ``out`` at the end; on any error ``out`` stays as it was."""
    new = _beside(out, "new")
    new.mkdir()
    try:
        yield new
        check(out)
        _put_in_place(new, out)
    except BaseException:
        _clear(new, ignore_errors=True)
        raise


def _clear(folder: Path, *, ignore_errors: bool = False) -> None:
    """Delete a folder of ours, the list of rows last: what a run that dies over it leaves is still known as ours."""
    for entry in list(folder.iterdir()) if folder.is_dir() else ():
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(entry, ignore_errors=ignore_errors)
        elif entry.name != ROWS:
            with suppress(OSError) if ignore_errors else nullcontext():
                entry.unlink()
    if folder.exists():
        shutil.rmtree(folder, ignore_errors=ignore_errors)


def _put_in_place(new: Path, out: Path) -> None:
    if not out.exists():
        new.rename(out)
    elif _exchange(new, out):
        _clear(new, ignore_errors=True)  # what was the old folder
    else:
        old = _beside(out, "old")
        out.rename(old)
        new.rename(out)
        _clear(old, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system cannot."""
    libc = ctypes.CDLL(None, use_errno=True) if sys.platform in ("linux", "darwin") else None
    names = os.fsencode(one), os.fsencode(other)
    if libc and hasattr(libc, "renameat2"):  # Linux: AT_FDCWD is -100, RENAME_EXCHANGE is 2
        return bool(libc.renameat2(-100, names[0], -100, names[1], 2) == 0)
    if libc and hasattr(libc, "renamex_np"):  # macOS: RENAME_SWAP is 2
        return bool(libc.renamex_np(*names, 2) == 0)
    return False
