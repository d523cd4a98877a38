"""Find and check the rules of every door, ours, plugins' and local folders'; what fails is kept by name, never lost.

Ours are imported here; everybody else's Python runs apart, each plugin and file in a process of its own, so that one that is
broken takes nothing else with it. A rule that could not be loaded must not look like one that passed: every failure becomes a
finding.
"""

from __future__ import annotations

import dataclasses
import functools
import importlib.metadata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from rigmargin.judge import hooks, local, regulation
from rigmargin.judge.regulation import Shelf
from rigmargin.judge.rule import Rule, RuleError
from rigmargin.judge.source import LAW, Brought, Failed, Failure, Source
from rigmargin.loads.derive import NAMES
from rigmargin.loads.facts import MADE, path_of
from rigmargin.loads.hitch import LINKS, PARTS
from rigmargin.loads.told import TOLD
from rigmargin.spec import schema, tyres
from rigmargin.spec.problem import FileProblems

OURS = "rigmargin"  # the distribution whose plugin wins when a stranger's has the same name


@dataclass(frozen=True, slots=True)
class Ruleset:
    """The rules in force, by id, what could not be loaded, and the regulation files that rules of law are read from."""

    rules: tuple[Rule, ...]
    failures: tuple[Failure, ...]
    shelves: tuple[Shelf, ...] = ()
    replaced: tuple[tuple[Rule, Rule], ...] = ()  # a rule, and the rule that stands in its place where that one speaks

    def of_law(self, outside: bool = False) -> Iterator[Rule]:
        """The rules of every regulation file that can be read, or of those alone that did not come with rigmargin."""
        return (rule for shelf in self.shelves if shelf.prefix != LAW or not outside for rule in _read(shelf))

    def find(self, id: str) -> Rule | None:
        """The rule of that id, whether it runs or not."""
        return next((rule for rule in self.rules if rule.id == id), None) or regulation.rule_called(self.shelves, id)


def _read(shelf: Shelf) -> tuple[Rule, ...]:
    try:
        return regulation.read(shelf)[1]
    except FileProblems:  # told where the file is used
        return ()


def installed() -> list[importlib.metadata.EntryPoint]:
    """The entry points of our group, exact repeats dropped (an editable install can list one twice)."""
    return list(dict.fromkeys(importlib.metadata.entry_points(group=hooks.GROUP)))


@functools.cache
def load(*folders: str, unrun: tuple[str, ...] = ()) -> Ruleset:
    """The rules of every installed plugin and of these local folders; of those ``unrun`` the regulations alone."""
    return gather(installed(), folders, unrun=unrun)


def gather(
    entry_points: Iterable[importlib.metadata.EntryPoint],
    folders: Iterable[str] = (),
    files: Iterable[Path] = (),
    unrun: Iterable[str] = (),
) -> Ruleset:
    """The rules of these plugins, folders and single files: ours first, then plugins by name, then the others as named.

    Raises local.NotAFolder.
    """
    sources, failures = _installed_sources(entry_points)
    for folder, runs in (*((each, False) for each in unrun), *((each, True) for each in folders)):
        more, wrong = local.sources(folder, runs=runs)
        sources += more
        failures += wrong
    sources += [local.source(file) for file in files if local.name(file) not in {source.name for source in sources}]
    return collect(sources, failures)


def collect(sources: Iterable[Source], failures: Iterable[Failure] = ()) -> Ruleset:
    """The rules of these sources, each stamped with its origin; the first of two with one id is used."""
    failed, shelves = list(failures), list[Shelf]()
    found: list[tuple[Rule, Source]] = []
    for source in sources:
        try:
            brought = source.give()
            found += [(dataclasses.replace(rule, origin=source.origin), source) for rule in brought.rules]
            shelves += _shelves(brought, source, failed)
        except (Exception, SystemExit) as error:  # whatever is wrong with it must not end the run
            why = str(error) if isinstance(error, Failed) else f"{type(error).__name__}: {error}"
            failed.append(Failure(source.name, f"{source.origin} could not be loaded ({why})"))
    kept = _distinct(found, failed)
    ruleset = Ruleset(tuple(kept[i] for i in sorted(kept)), (), tuple(shelves))
    replaced = tuple(_replaced(ruleset, failed))
    return dataclasses.replace(ruleset, failures=tuple(failed), replaced=replaced)


def _shelves(brought: Brought, source: Source, failed: list[Failure]) -> Iterator[Shelf]:
    """The regulation files of one source. Those from outside are read at once: a misnamed one would never be read later."""
    if brought.files and not source.ours and source.prefix in ("", LAW):
        raise RuleError(f"its regulations need a prefix of their own, and {source.prefix!r} is none: give it another name")
    for file in brought.files:
        try:
            found = regulation.shelves(file, source.prefix, source.origin)
        except Exception as error:  # a stranger's folder may raise anything: that is told, and the others go on
            why = f"the regulations of {source.origin} could not be found ({type(error).__name__}: {error})"
            failed.append(Failure(source.name, why))
        else:
            yield from (shelf for shelf in found if source.ours or _readable(shelf, source, failed))


def _readable(shelf: Shelf, source: Source, failed: list[Failure]) -> bool:
    try:
        regulation.read(shelf)
    except FileProblems as unreadable:
        failed += [Failure(source.name, f"{source.origin}: {problem}") for problem in unreadable.problems]
        return False
    return True


def _installed_sources(entry_points: Iterable[importlib.metadata.EntryPoint]) -> tuple[list[Source], list[Failure]]:
    """The plugins, ours first; of several of one name only the first, and the failure that says so."""
    sources: list[Source] = []
    failures: list[Failure] = []
    for name, points in sorted(_by_name(entry_points).items(), key=lambda pair: (_distribution(pair[1][0]) != OURS, pair[0])):
        first, owner = points[0], _distribution(points[0])
        if len(points) > 1:
            owners = ", ".join(sorted(_distribution(p) for p in points))
            reason = f"{len(points)} plugins are called {name!r} ({owners}); only that of {owner} was used"
            failures.append(Failure(name, reason))
        origin = f"plugin {name} of {owner} {_version(first)}".rstrip()
        if owner == OURS:
            sources.append(Source(name, origin, functools.partial(_ours, first), LAW, ours=True))
        else:
            from rigmargin.judge.apart import Outside  # only where there is something from outside

            sources.append(Source(name, origin, Outside("entry", first.value, origin).brought, local.plain(name)))
    return sources, failures


def _ours(point: importlib.metadata.EntryPoint) -> Brought:
    rules, files = hooks.ask(point.load(), point.name)
    return Brought(tuple(rules), tuple(files))


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


def _distinct(found: list[tuple[Rule, Source]], failures: list[Failure]) -> dict[str, Rule]:
    """The rules by id; those whose id is taken or not theirs to use, or that need what there cannot be, become failures."""
    kept: dict[str, Rule] = {}
    for rule, source in found:
        wrong = _wrong_id(rule, kept.get(rule.id), source) or _wrong_needs(rule)
        if wrong:
            failures.append(Failure(rule.id, wrong))
        else:
            kept[rule.id] = rule
    return kept


def _wrong_id(rule: Rule, first: Rule | None, source: Source) -> str:
    prefix, slash, _ = rule.id.partition("/")
    if first:
        return f"the rule id {rule.id!r} is used twice: by {first.origin}, which was used, and by {rule.origin}"
    if source.ours or (slash and prefix != LAW):
        return ""
    whose = f"the rule id {rule.id!r} of {rule.origin}"
    if slash:
        return f"{whose} begins with '{LAW}/', which only regulations that come with rigmargin do"
    return f"{whose} has no prefix: an id from outside is 'name/{rule.id}', with a name of its own"


def _wrong_needs(rule: Rule) -> str:
    wrong = unknown_needs(rule)
    return f"rule {rule.id} of {rule.origin} needs {', '.join(wrong)}, which no rig file has" if wrong else ""


def _replaced(ruleset: Ruleset, failures: list[Failure]) -> Iterator[tuple[Rule, Rule]]:
    """Every rule that another names as replaced, with that other; what cannot be replaced becomes a failure."""
    taken: set[str] = set()
    for rule in (*ruleset.rules, *ruleset.of_law(outside=True)):
        if rule.replaces:
            target = ruleset.find(rule.replaces)
            wrong = _wrong_replacement(target) or ("which another replaces already" if rule.replaces in taken else "")
            if wrong or target is None:
                failures.append(Failure(rule.id, f"rule {rule.id} of {rule.origin} replaces {rule.replaces}, {wrong}"))
            else:
                taken.add(rule.replaces)
                yield target, rule


def _wrong_replacement(target: Rule | None) -> str:
    if target is None:
        return "which is no rule on file; both that are there run"
    if "/" not in target.id:
        return "which holds what makers and the trade say; only a regulation, or a rule with a prefix, can be replaced"
    if target.replaces:
        return "which itself replaces another; such a chain is not followed"
    return ""


def unknown_needs(rule: Rule) -> list[str]:
    """The facts a rule needs that are neither fields of a rig file nor loads."""
    wrong = []
    for subject, own in rule.each.items():
        for fact in (*{**rule.needs, **own}.values(), *([rule.where] if rule.where else [])):
            path = path_of(subject, fact).partition("@")[0]
            link, _, field = path.rpartition(".")
            path = f"{PARTS}.*.{field}" if link in LINKS else path
            if not _is_fact(path):
                wrong.append(path)
    return sorted(set(wrong))


@functools.lru_cache(maxsize=1024)
def _is_fact(path: str) -> bool:
    alike = _facts().get(path.count("."), frozenset())
    return path in alike or any(fits(path, known) for known in alike)


@functools.cache
def _facts() -> dict[int, frozenset[str]]:
    """Every fact there can be, the fields of a rig file and what is made of them, by the number of dots in its path."""
    found: dict[int, set[str]] = {}
    for path in (*schema.catalogue(), *NAMES, *TOLD, *MADE, *tyres.DERIVED):
        found.setdefault(path.count("."), set()).add(path)
    return {dots: frozenset(paths) for dots, paths in found.items()}


def fits(path: str, known: str) -> bool:
    """Whether two paths name the same fact when ``*`` stands for any one name."""
    ours, theirs = path.split("."), known.split(".")
    return len(ours) == len(theirs) and all(a == b or "*" in (a, b) for a, b in zip(ours, theirs, strict=True))
