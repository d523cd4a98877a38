"""The rules of a folder that was named, on the command line or in settings. Nothing here looks into a folder that was not.

Each ``.py`` file at its top brings rules by ``@rule``; each ``.yaml`` file at its top is a regulation file. What is passed
over: names that begin with ``_`` or ``.``, folders inside it, and YAML that says at its top that it is a rig file, a file of
cases or of settings.
"""

from __future__ import annotations

import functools
import re
from pathlib import Path

from rigmargin.judge.source import Brought, Failure, Source
from rigmargin.spec import document
from rigmargin.spec.problem import FileProblems

OTHER_YAML = ("rig", "rule", "settings")  # a key at the top of a rig file, of a file of cases, and of settings

#: Python that somebody else's settings name is not run unasked: whoever clones a folder has not asked for it.
NOT_RUN = (
    "local file {name} was not run, because nobody here has named it: the settings file that names its folder was only found. "
    "If you trust it, name the folder with --rules, or the settings file with --settings or RIGMARGIN_SETTINGS"
)


class NotAFolder(ValueError):
    """What was named is no folder that can be read; says why."""

    def __init__(self, folder: str, why: str) -> None:
        super().__init__(f"{folder!r} is no folder that can be read: {why}")
        self.folder = folder


def sources(folder: str, *, runs: bool = True) -> tuple[list[Source], list[Failure]]:
    """What a folder brings, in the order of its file names, and what is wrong with it as a whole. Raises NotAFolder.

    Without ``runs`` its Python is not run, and each such file is a failure that says so.
    """
    top = Path(folder).resolve()
    try:
        files = sorted(path for path in top.iterdir() if path.name[0] not in "._" and path.is_file())
    except OSError as error:
        raise NotAFolder(folder, error.strerror or str(error)) from None
    python = [path for path in files if path.suffix == ".py"]
    found = [source(path) for path in files if (runs and path in python) or is_regulation(path)]
    wrong = [] if runs else [Failure(name(path), NOT_RUN.format(name=name(path))) for path in python]
    wrong += [
        Failure(name(path), f"local file {name(path)} is not read: rename it {path.with_suffix('.yaml').name}")
        for path in files
        if path.suffix == ".yml"
    ]
    if not found and not wrong:
        reason = f"the folder {folder!r} holds no rules: no .py file, and no .yaml file of regulations"
        wrong.append(Failure(top.name, reason))
    return found, wrong


def source(path: Path) -> Source:
    """One file. A Python file is started at once, so that several get ready side by side."""
    origin, prefix = f"local file {name(path)}", plain(path.resolve().parent.name)
    if path.suffix == ".py":
        from rigmargin.judge.apart import Outside  # only where there is something to run

        return Source(name(path), origin, Outside("file", str(path.absolute()), name(path)).brought, prefix)
    return Source(name(path), origin, functools.partial(Brought, (), (path,)), prefix)


def name(path: Path) -> str:
    """What a file is called: its own name behind its folder's, never the whole way to it."""
    return f"{path.resolve().parent.name}/{path.name}"


def is_regulation(path: Path) -> bool:
    """Whether a file is YAML that is not, by its own word, something else; what is wrong with one is told when it is loaded."""
    if path.suffix != ".yaml":
        return False
    try:
        data = document.read(path).data
    except FileProblems:
        return True
    return not (isinstance(data, dict) and any(key in data for key in OTHER_YAML))


def plain(name: str) -> str:
    """A name as the prefix of ids: lower-case letters, digits and hyphens; may be empty."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
