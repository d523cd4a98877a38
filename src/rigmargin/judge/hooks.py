"""The hooks a plugin implements."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources.abc import Traversable
from pathlib import Path

import pluggy

from rigmargin.judge.rule import Rule

GROUP = "rigmargin.rules"  # the entry-point group; our own rules come in by it too
_hookspec = pluggy.HookspecMarker("rigmargin")


@_hookspec
def rigmargin_rules() -> Iterable[Rule]:  # type: ignore[empty-body]  # a hook's specification has no body
    """The rules this plugin brings. Called once when rules are loaded; must not read files or the network."""


@_hookspec
def rigmargin_regulations() -> Iterable[Path | Traversable]:  # type: ignore[empty-body]
    """The regulation files this plugin brings, or the folders that hold them. Each file is named by its place."""
