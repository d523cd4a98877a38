"""The hooks a plugin implements, and asking one plugin for what it brings."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from importlib.resources.abc import Traversable
from pathlib import Path
from types import ModuleType

import pluggy

from rigmargin.judge.rule import Rule, RuleError

GROUP = "rigmargin.rules"  # the entry-point group; our own rules come in by it too
_hookspec = pluggy.HookspecMarker("rigmargin")


@_hookspec
def rigmargin_rules() -> Iterable[Rule]:  # type: ignore[empty-body]  # a hook's specification has no body
    """The rules this plugin brings. Called once when rules are loaded; must not read files or the network."""


@_hookspec
def rigmargin_regulations() -> Iterable[Path | Traversable]:  # type: ignore[empty-body]  # nor this one
    """The regulation files this plugin brings, or the folders that hold them. Each file is named by its place."""


def ask(plugin: ModuleType, name: str) -> tuple[list[Rule], list[Path | Traversable]]:
    """The rules and regulation files one plugin brings. Raises RuleError when it brings nothing or what is no rule, and
    whatever the plugin raises."""
    manager = pluggy.PluginManager("rigmargin")
    manager.add_hookspecs(sys.modules[__name__])
    manager.register(plugin, name)
    manager.check_pending()
    brought = [rule for rules in manager.hook.rigmargin_rules() for rule in rules]
    files = [file for listed in manager.hook.rigmargin_regulations() for file in listed]
    if not brought and not files:
        raise RuleError("it brings no rules")
    for rule in brought:
        if not isinstance(rule, Rule):
            raise RuleError(f"it brings {rule!r}, which is not a rule")
    return brought, files
