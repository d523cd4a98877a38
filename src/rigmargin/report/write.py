"""Reports to files: the format by the file's ending, and each file whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Callable
from pathlib import Path

from rigmargin.judge.finding import Report


def _html(report: Report, system: str) -> str:
    from rigmargin.report import pages  # Jinja is only needed here

    return pages.html(report, system)


def _markdown(report: Report, system: str) -> str:
    from rigmargin.report import pages

    return pages.markdown(report, system)


def _json(report: Report, system: str) -> str:
    from rigmargin.report import json

    return json.render(report)


def _sarif(report: Report, system: str) -> str:
    from rigmargin.report import sarif

    return sarif.one(report, system)


FORMATS: dict[str, Callable[[Report, str], str]] = {".html": _html, ".md": _markdown, ".json": _json, ".sarif": _sarif}


def whole(path: Path, content: str | bytes) -> None:
    """Write ``content`` to ``path`` so that the file is old or new, never half; text as UTF-8. Raises OSError."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content.encode("utf-8") if isinstance(content, str) else content)
        umask = os.umask(0)
        os.umask(umask)
        mode = stat.S_IMODE(path.stat().st_mode) if path.exists() else 0o666 & ~umask
        os.chmod(name, mode)  # mkstemp makes files only their owner can read
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
