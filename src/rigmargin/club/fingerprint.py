"""What a verdict depends on besides the rig file, as one short text: when it is the same, so is the verdict.

The contents of rigmargin's own files, of the local rules' folders and of other distributions' plugins. Nothing of them is run.
"""

from __future__ import annotations

import hashlib
import importlib.resources
import importlib.util
import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import rigmargin
from rigmargin.judge import plugins

#: What is not read by rules and does not count.
_PASSED_OVER = ("__pycache__",)


def of_rules(folders: Sequence[str]) -> str:
    """The fingerprint of this rigmargin, the installed plugins and these folders of local rules. Raises OSError."""
    digest = hashlib.sha256(rigmargin.__version__.encode())
    for path in _distributions(digest.update):
        digest.update(path.read_bytes())
    for top in (*_packages(), *map(Path, folders)):
        for path in _files(top):
            digest.update(f"\0{path.relative_to(top.parent).as_posix()}\0".encode("utf-8", "surrogateescape"))
            digest.update(path.read_bytes())
    return digest.hexdigest()


def _files(top: Path) -> Iterator[Path]:
    """The files under a folder in one order, or the file itself."""
    if top.is_file():
        yield top
        return
    found: list[Path] = []
    seen: set[str] = set()
    for here, folders, names in os.walk(top, followlinks=True):
        again = os.path.realpath(here) in seen  # a link that leads back up
        seen.add(os.path.realpath(here))
        folders[:] = [] if again else folders
        found += [] if again else [Path(here, name) for name in names]
    yield from (path for path in sorted(found) if path.is_file() and not set(_PASSED_OVER) & set(path.parts))


def _distributions(told: Callable[[bytes], None]) -> Iterator[Path]:
    """The files of every distribution that brings a plugin from outside, their names told; an editable one has few."""
    outside = {p.dist.name: p.dist for p in plugins.installed() if p.dist and p.dist.name != plugins.OURS}
    for name, found in sorted(outside.items()):
        told(f"\0{name} {found.version}\0".encode())
        for file in sorted(found.files or (), key=str):
            path = Path(str(found.locate_file(file)))
            if path.is_file() and not set(_PASSED_OVER) & set(path.parts):
                told(f"\0{file}\0".encode())
                yield path


def _packages() -> Iterator[Path]:
    """Where our own packages lie, and those of every plugin from outside (found by name, not imported)."""
    yield Path(rigmargin.__file__).parent
    for point in sorted(plugins.installed(), key=lambda p: (p.name, p.value)):
        name = point.module if point.value.startswith("rigmargin.") else point.module.partition(".")[0]
        spec = importlib.util.find_spec(name)
        if spec and spec.submodule_search_locations:
            yield Path(next(iter(spec.submodule_search_locations)))
        elif spec and spec.origin:
            yield Path(spec.origin)
    yield Path(str(importlib.resources.files("rigmargin.schemas").joinpath("")))
