"""By what the rigs of a folder are judged, on both sides alike, and which files of that differ between the sides.

Both sides are judged by the settings and rules in force now, in the work tree. What a change to these does is shown on
neither side, so it must not go unsaid.
"""

from __future__ import annotations

import os
import posixpath
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TypeAlias

from rigmargin.club.git import Refused, Repository, within
from rigmargin.judge.plugins import Ruleset
from rigmargin.spec import settings_file
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.settings import Folder, Settings

#: The settings and rules in force for the rigs of a folder.
Terms: TypeAlias = Callable[[Path], tuple[Settings, Ruleset]]


def seen_from(settings: Settings, top: Path, root: Path) -> Settings:
    """The same settings, where the files of the work tree at ``top`` are laid out at ``root``: exceptions name files."""
    path = os.path.relpath(os.path.realpath(settings.file), top)
    if not settings.file or path.startswith(os.pardir) or root == top:
        return settings
    return replace(settings, file=str(root / path))


def same(one: Settings, other: Settings) -> bool:
    """Whether two settings say the same and name the same folders of rules."""
    folders = ([os.path.realpath(folder.path) for folder in each.rules] for each in (one, other))
    return one.fingerprint() == other.fingerprint() and next(folders) == next(folders)


def differing(
    repository: Repository, touched: Collection[str], names: Iterable[str], places: Sequence[str], here: Settings
) -> tuple[str, ...]:
    """Of the files that differ those of settings, and those of the folders of rules in force; by path.

    ``touched`` are the files that differ and are no rigs, ``names`` those of the newer side, ``here`` the settings here.
    """

    def counts(path: str) -> bool:
        """Whether it is a settings file that counts for a rig in one of the places."""
        folder, name = posixpath.split(path)
        return name == settings_file.NAME and (within(path, places) or any(within(place, (folder,)) for place in places))

    named = set(_inside(repository, [here.file] if here.file else []))
    found = {path for path in touched if counts(path) or path in named}
    if touched:
        folders = [*here.rules, *_rules(repository.top / path for path in names if counts(path))]
        top = tuple(_inside(repository, {folder.path for folder in folders}))
        found |= {path for path in touched if top and within(path, top)}
    return tuple(sorted(found))


def _inside(repository: Repository, files: Iterable[str]) -> Iterator[str]:
    for file in files:
        with suppress(Refused):  # what lies outside is kept elsewhere, and does not differ here
            yield repository.inside(os.path.realpath(file))


def _rules(files: Iterable[Path]) -> Iterator[Folder]:
    for file in files:
        with suppress(FileProblems):  # told when a rig is judged by it
            yield from settings_file.read(str(file)).rules
