"""The hook a plugin implements, and asking one plugin for what it brings."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from types import ModuleType

import pluggy

from rigmargin.judge.rule import Rule, RuleError

GROUP = "rigmargin.rules"  # the entry-point group; our own rules come in by it too
_hookspec = pluggy.HookspecMarker("rigmargin")


@_hookspec
def rigmargin_rules() -> Iterable[Rule]:  # type: ignore[empty-body]  # a hook's specification has no body
    """The rules this plugin brings. Called once when rules are loaded; must not read files or the network."""


def ask(plugin: ModuleType, name: str) -> list[Rule]:
    """The rules one plugin brings. Raises RuleError when it brings none or what is no rule, and whatever the plugin raises."""
    manager = pluggy.PluginManager("rigmargin")
    manager.add_hookspecs(sys.modules[__name__])
    manager.register(plugin, name)
    manager.check_pending()
    brought = [rule for rules in manager.hook.rigmargin_rules() for rule in rules]
    if not brought:
        raise RuleError("it brings no rules")
    for rule in brought:
        if not isinstance(rule, Rule):
            raise RuleError(f"it brings {rule!r}, which is not a rule")
    return brought
