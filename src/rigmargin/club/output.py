"""The output folder: made beside the old one and put in its place at once, so that a run that dies leaves the old one whole.

Where the system can exchange two folders in one step (Linux, macOS) there is no moment without a whole folder; elsewhere the
old one is moved aside first, and a run that dies between the two steps is mended by the next one.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

ROWS = "rows.jsonl"  # what a later run reads again; its presence says that a folder is ours
FINDINGS, SUMMARY, INDEX = "findings.csv", "summary.json", "index"
RIGS, SHEETS = "rigs", "sheets"  # folders of pages
#: Everything that a run writes at the top of its folder.
OURS = frozenset({ROWS, FINDINGS, SUMMARY, f"{INDEX}.html", f"{INDEX}.md", RIGS, SHEETS})


class Unusable(Exception):
    """The output folder cannot be used; says why and what to do."""


@contextmanager
def held(out: Path) -> Iterator[None]:
    """Nobody else writes to ``out`` meanwhile. Raises Unusable when somebody does, or when ``out`` is not for us to replace."""
    _check(out)
    out.parent.mkdir(parents=True, exist_ok=True)
    lock = FileLock(_beside(out, "lock"), timeout=0)
    try:
        with lock:
            _mend(out)
            _check(out)
            yield
    except Timeout:
        raise Unusable(f"another run is writing to '{out}'; wait until it is done, or name another folder") from None


def _beside(out: Path, what: str) -> Path:
    return out.parent / f".{out.name}.{what}"


def _check(out: Path) -> None:
    if not out.exists():
        return
    if not out.is_dir():
        raise Unusable(f"'{out}' is no folder; name one that is there or can be made")
    strange = sorted(entry.name for entry in out.iterdir() if entry.name not in OURS)
    if strange:
        more = f" and {len(strange) - 1} more" if len(strange) > 1 else ""
        raise Unusable(f"'{out}' holds '{strange[0]}'{more}, which no run of ours wrote; name a new or empty folder")


def _mend(out: Path) -> None:
    """Clear away what a run that died left behind."""
    old = _beside(out, "old")
    if old.exists() and not out.exists():
        old.rename(out)
    for left in (old, _beside(out, "new")):
        if left.exists():
            shutil.rmtree(left)


@contextmanager
def replacing(out: Path) -> Iterator[Path]:
    """An empty folder to write to, which takes the place of ``out`` at the end; on any error ``out`` stays as it was."""
    new = _beside(out, "new")
    new.mkdir()
    try:
        yield new
        _put_in_place(new, out)
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise


def _put_in_place(new: Path, out: Path) -> None:
    if not out.exists():
        new.rename(out)
    elif _exchange(new, out):
        shutil.rmtree(new, ignore_errors=True)  # what was the old folder
    else:
        old = _beside(out, "old")
        out.rename(old)
        new.rename(out)
        shutil.rmtree(old, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system cannot."""
    libc = ctypes.CDLL(None, use_errno=True) if sys.platform in ("linux", "darwin") else None
    names = os.fsencode(one), os.fsencode(other)
    if libc and hasattr(libc, "renameat2"):  # Linux: AT_FDCWD is -100, RENAME_EXCHANGE is 2
        return bool(libc.renameat2(-100, names[0], -100, names[1], 2) == 0)
    if libc and hasattr(libc, "renamex_np"):  # macOS: RENAME_SWAP is 2
        return bool(libc.renamex_np(*names, 2) == 0)
    return False
