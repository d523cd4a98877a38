"""Find, load and check the plugins that bring rules and regulation files; what fails is kept by name, never lost.

pluggy collects; each plugin is imported, registered and asked in its own ``try``, so that one broken plugin takes nothing
else with it. A rule that could not be loaded must not look like one that passed: every failure becomes a finding.
"""

from __future__ import annotations

import dataclasses
import importlib.metadata
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources.abc import Traversable
from pathlib import Path
from types import ModuleType

import pluggy

from rigmargin.judge import hooks, regulation
from rigmargin.judge.regulation import Failure, Shelf
from rigmargin.judge.rule import Rule, RuleError
from rigmargin.loads.derive import NAMES
from rigmargin.loads.facts import CLAIMED, MADE, REFUSED, UNUSED, path_of
from rigmargin.spec import schema

OURS = "rigmargin"  # the distribution whose plugin wins when a stranger's has the same name


@dataclass(frozen=True, slots=True)
class Ruleset:
    """The rules in force, by id, what could not be loaded, and the regulation files that rules of law are read from."""

    rules: tuple[Rule, ...]
    failures: tuple[Failure, ...]
    shelves: tuple[Shelf, ...] = ()


def installed() -> list[importlib.metadata.EntryPoint]:
    """The entry points of our group, exact repeats dropped (an editable install can list one twice)."""
    return list(dict.fromkeys(importlib.metadata.entry_points(group=hooks.GROUP)))


@cache
def load() -> Ruleset:
    """The rules of every installed plugin."""
    return gather(installed())


def gather(entry_points: Iterable[importlib.metadata.EntryPoint]) -> Ruleset:
    """The rules of these plugins, ours first, then by name."""
    failures: list[Failure] = []
    found: list[Rule] = []
    shelves: list[Shelf] = []
    for name, points in sorted(_by_name(entry_points).items(), key=lambda pair: (_distribution(pair[1][0]) != OURS, pair[0])):
        if len(points) > 1:
            owners = ", ".join(sorted(_distribution(p) for p in points))
            failures.append(
                Failure(
                    name,
                    f"{len(points)} plugins are called {name!r} ({owners}); only that of {_distribution(points[0])} was used",
                )
            )
        origin = f"plugin {name} of {_distribution(points[0])} {_version(points[0])}".rstrip()
        try:
            rules, sources = _ask(points[0].load(), name, origin)
        except (Exception, SystemExit) as error:  # a stranger's code may raise anything, and must not end the run
            failures.append(Failure(name, f"{origin} could not be loaded ({type(error).__name__}: {error})"))
            continue
        found += rules
        prefix = "law" if _distribution(points[0]) == OURS else _plain(name)
        for source in sources:
            try:
                shelves += regulation.shelves(source, prefix, origin)
            except Exception as error:
                reason = f"the regulations of {origin} could not be found ({type(error).__name__}: {error})"
                failures.append(Failure(name, reason))
    return dataclasses.replace(_distinct(found, failures), shelves=tuple(shelves))


def _by_name(entry_points: Iterable[importlib.metadata.EntryPoint]) -> dict[str, list[importlib.metadata.EntryPoint]]:
    named: dict[str, list[importlib.metadata.EntryPoint]] = {}
    for point in entry_points:
        named.setdefault(point.name, []).append(point)
    for points in named.values():
        points.sort(key=lambda p: (_distribution(p) != OURS, _distribution(p)))
    return named


def _distribution(point: importlib.metadata.EntryPoint) -> str:
    return str(point.dist.name) if point.dist else "an unknown distribution"


def _version(point: importlib.metadata.EntryPoint) -> str:
    return str(point.dist.version) if point.dist else ""


def _plain(name: str) -> str:
    """A plugin's name as the first part of rule ids: lower-case words with hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "plugin"


def _ask(plugin: ModuleType, name: str, origin: str) -> tuple[list[Rule], list[Path | Traversable]]:
    """The rules one plugin brings, each stamped with its origin, and where its regulation files are."""
    manager = pluggy.PluginManager("rigmargin")
    manager.add_hookspecs(hooks)
    manager.register(plugin, name)
    manager.check_pending()
    brought = [rule for rules in manager.hook.rigmargin_rules() for rule in rules]
    sources = [source for listed in manager.hook.rigmargin_regulations() for source in listed]
    if not brought and not sources:
        raise RuleError("it brings no rules")
    for rule in brought:
        if not isinstance(rule, Rule):
            raise RuleError(f"it brings {rule!r}, which is not a rule")
    return [dataclasses.replace(rule, origin=origin) for rule in brought], sources


def _distinct(found: list[Rule], failures: list[Failure]) -> Ruleset:
    kept: dict[str, Rule] = {}
    for rule in found:
        first = kept.get(rule.id)
        wrong = unknown_needs(rule)
        if first:
            failures.append(
                Failure(
                    rule.id, f"the rule id {rule.id!r} is used twice: by {first.origin}, which was used, and by {rule.origin}"
                )
            )
        elif wrong:
            failures.append(
                Failure(rule.id, f"rule {rule.id} of {rule.origin} needs {', '.join(wrong)}, which no rig file has")
            )
        else:
            kept[rule.id] = rule
    return Ruleset(tuple(kept[i] for i in sorted(kept)), tuple(failures))


def unknown_needs(rule: Rule) -> list[str]:
    """The facts a rule needs that are neither fields of a rig file nor loads."""
    wrong = []
    for subject, own in rule.each.items():
        for fact in (*{**rule.needs, **own}.values(), *([rule.where] if rule.where else [])):
            path = path_of(subject, fact).partition("@")[0]
            if not any(fits(path, known) for known in (*schema.catalogue(), *NAMES, CLAIMED, REFUSED, UNUSED, *MADE)):
                wrong.append(path)
    return sorted(set(wrong))


def fits(path: str, known: str) -> bool:
    """Whether two paths name the same fact when ``*`` stands for any one name."""
    ours, theirs = path.split("."), known.split(".")
    return len(ours) == len(theirs) and all(a == b or "*" in (a, b) for a, b in zip(ours, theirs, strict=True))
