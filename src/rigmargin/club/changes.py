"""What changed for a club's rigs between two revisions: which verdicts, and which margins by more than the rounding shown.

Both sides are judged by the rules and settings in force now for the folder of each rig, so that what differs is the files'
doing. Only rig files that differ, or whose options name a file that differs, are judged.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeAlias

from rigmargin.advice.compare import FAILING, SETTLED, SPEAKS_NOT, UNSETTLED, left_open, pairs
from rigmargin.advice.trial import NO_LIMIT
from rigmargin.club.git import Pair, Refused, Repository, within
from rigmargin.club.snapshot import AtCommit, Now, Side, judged, others
from rigmargin.club.terms import Terms, same, seen_from
from rigmargin.club.terms import differing as terms_differing
from rigmargin.judge.finding import VERDICTS, Finding, Report
from rigmargin.judge.plugins import Ruleset
from rigmargin.judge.source import Failure
from rigmargin.report.display import Display, display
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.rig import Rig
from rigmargin.spec.rig_files import looks_like_a_rig, named_like_a_rig
from rigmargin.spec.settings import Settings

#: What became of a check, worst first.
FAILS, FURTHER, OPENS, BROKEN, WORSENS, OTHER, IMPROVES, SETTLES, CLEARS = KINDS = (
    "fails", "further", "opens", "broken", "worsens", "other", "improves", "settles", "clears",
)  # fmt: skip
IN_DOUBT = ("too_close", "conflict")  # perhaps past the limit: not cleared when nothing is asked any more
#: Exit codes, worst first: a file newly cannot be read, something newly fails (or further), a rule is broken, something opens.
SEVERITY = (4, 1, 5, 3, 0)


#: A rig judged, why it cannot be read, or None when it is not there.
Judged: TypeAlias = Report | tuple[Problem, ...] | None


@dataclass(frozen=True, slots=True)
class Version:
    """One rig file as one side has it. The whole report is not kept: thousands may have changed."""

    path: str  # from the repository's top
    rig: Rig | None  # None when it cannot be read
    overall: str  # the worst verdict; empty when it cannot be read
    problems: tuple[Problem, ...]  # why it cannot be read; each names its file from the repository's top
    absent: tuple[str, ...] = ()  # what its options name and only the work tree has: they were not read


@dataclass(frozen=True, slots=True)
class Turn:
    """One check on both sides."""

    before: Finding | None  # None when it was not made
    after: Finding | None  # None when it is not made any more
    kind: str  # one of KINDS


@dataclass(frozen=True, slots=True)
class RigChange:
    """One rig on both sides."""

    before: Version | None  # None when it was not there
    after: Version | None  # None when it is gone
    turns: tuple[Turn, ...]  # worst first; of a rig that is new, or could not be read before, only what fails or is open

    @property
    def path(self) -> str:
        """Where the file is, or was, from the repository's top."""
        one = self.after or self.before
        assert one is not None  # a rig that is on neither side is no change
        return one.path

    @property
    def status(self) -> str:
        """What became of the file: added, removed, renamed, unreadable, readable or changed."""
        if self.after is None or self.before is None:
            return "removed" if self.after is None else "added"
        if self.after.rig is None:
            return "unreadable"
        if self.before.rig is None:
            return "readable"
        return "renamed" if self.before.path != self.after.path else "changed"

    @property
    def newly_unreadable(self) -> bool:
        """Whether the file cannot be read now, and could before or was not there."""
        readable_before = self.before is None or self.before.rig is not None
        return self.after is not None and self.after.rig is None and readable_before

    @property
    def code(self) -> int:
        """The exit code that this rig alone would give."""
        kinds = {turn.kind for turn in self.turns}
        broken = any(turn.after and turn.after.verdict == "rule_failed" for turn in self.turns)
        if self.newly_unreadable:
            return 4
        return 1 if {FAILS, FURTHER} & kinds else 5 if broken else 3 if OPENS in kinds else 0


@dataclass(frozen=True, slots=True)
class Changes:
    """The whole comparison."""

    old: str  # the revision as it was named
    new: str | None  # None: the work tree
    rigs: tuple[RigChange, ...]  # worst first
    failures: tuple[Failure, ...]  # plugins and rules that could not be loaded: what they ask is compared on neither side
    unshown: tuple[str, ...] = ()  # files of settings and rules that differ, and rigs moved to where others count, by path
    submodules: tuple[str, ...] = ()  # repositories inside this one that differ: their rigs are not looked at

    @property
    def code(self) -> int:
        """The exit code: the first of SEVERITY that any rig gives, or that what is left out does."""
        codes = {0, *(rig.code for rig in self.rigs), *((5,) if self.failures else ())}
        codes |= {3} if self.unshown or self.submodules else set()
        return next(code for code in SEVERITY if code in codes)


def changes(
    repository: Repository,
    old: str,
    new: str | None,
    terms: Terms,
    *,
    places: Sequence[str] = (),
    progress: Callable[[Iterable[Pair], int], Iterable[Pair]] = lambda tasks, _: tasks,
) -> Changes:
    """Compare the rigs of two revisions, or of one and the work tree when ``new`` is None; both by the terms of their folder.

    With ``places`` (files and folders, named from where we are) only the rigs there. Raises Refused for what is not to be found
    and Unreadable for what git does not give.
    """
    if new is None and repository.bare:
        raise Refused("this repository is bare and has no work tree; name two revisions")
    one = repository.commit(old)
    other = None if new is None else repository.commit(new)
    inside = tuple(repository.inside(place) for place in places)
    with tempfile.TemporaryDirectory(prefix="rigmargin-") as folder:
        before = AtCommit(repository, one, Path(folder) / "old")
        after: Side = Now(repository) if other is None else AtCommit(repository, other, Path(folder) / "new")
        found = repository.differing(one, other)
        submodules = [pair.submodule for pair in found if pair.submodule]
        for named, place in zip(places, inside, strict=True):
            there = any(within(path, (place,)) for side in (before, after) for path in side.names())
            if not there and not any(_meets(folder, (place,)) for folder in submodules):
                raise Refused(f"there is nothing at {shown(named)} on either side; check the name")
        differing, leaning = _to_judge(before, after, found, inside)
        rig_files = {path for pair in differing for path in (pair.old, pair.new)}
        here, ruleset = terms(Path.cwd())
        unshown = list(terms_differing(repository, _touched(found) - rig_files, after.names(), inside, here))
        failures = list(ruleset.failures)
        tasks = (*differing, *leaning)
        kept: list[RigChange] = []
        for number, pair in enumerate(progress(tasks, len(tasks))):
            settings, ruleset = terms((repository.top / _path(pair)).parent)
            failures += ruleset.failures
            was_by, is_by = (seen_from(settings, repository.top, side.root) for side in (before, after))
            lacks = before.ready(pair.old) if pair.old else frozenset()
            lacks_too = after.ready(pair.new) if pair.new else frozenset()
            lacks_too &= lacks  # what was there before and is no more is newly lost
            was = _judged(before, pair.old, ruleset, was_by, lacks)
            is_ = _judged(after, pair.new, ruleset, is_by, lacks_too)
            if pair.old and pair.new and not same(settings, terms((repository.top / pair.old).parent)[0]):
                unshown.append(pair.new)
            made = [_without(rig, lacks, lacks_too) for rig in _rig_changes(pair, was, is_)]
            kept += made if number < len(differing) else filter(_tells, made)
    rigs = sorted(kept, key=lambda rig: (SEVERITY.index(rig.code), rig.path))
    inner = tuple(sorted(folder for folder in submodules if _meets(folder, inside)))
    return Changes(old, new, tuple(rigs), tuple(dict.fromkeys(failures)), tuple(unshown), inner)


def _to_judge(before: Side, after: Side, found: Sequence[Pair], places: Sequence[str]) -> tuple[list[Pair], list[Pair]]:
    """The rigs whose files differ, and the others whose options name a file that does; both by path."""
    yaml = [Pair(_if(pair.old, named_like_a_rig), _if(pair.new, named_like_a_rig)) for pair in found]
    here = [pair for pair in yaml if within(pair.old, places) or within(pair.new, places)]
    old, new = before.raw(p.old for p in here if p.old), after.raw(p.new for p in here if p.new)
    here = _moved_unsaid(here, old, new)
    differing = []
    for pair in here:
        was, is_ = old.get(pair.old or ""), new.get(pair.new or "")
        was_rig = was is not None and looks_like_a_rig(was)
        is_rig = was_rig or is_ is None or looks_like_a_rig(is_)  # a rig that lost its first field, or a file that does not
        rig = Pair(pair.old if was_rig else None, pair.new if is_rig else None)  # open, is told of and not passed over
        if rig != Pair(None, None) and (rig.old != rig.new or was != is_):
            differing.append(rig)
    touched = _touched(found)
    rest = [path for path in after.names() if named_like_a_rig(path) and within(path, places) and path not in touched]
    texts = after.raw(rest) if touched else {}
    leaning = [Pair(path, path) for path, raw in texts.items() if touched & set(others(path, raw)) and looks_like_a_rig(raw)]
    return sorted(differing, key=_path), sorted(leaning, key=_path)


def _moved_unsaid(pairs: Sequence[Pair], old: dict[str, bytes], new: dict[str, bytes]) -> list[Pair]:
    """The same pairs, a file that went and a like one that came made one: git follows no file that was not added yet."""
    came = {new[p.new]: p for p in reversed(pairs) if p.new in new and not p.old}  # the first by name of several
    moved = {p: came.pop(old[p.old]) for p in pairs if p.old in old and not p.new and old[p.old] in came}
    there = set(moved.values())
    return [Pair(p.old, moved[p].new) if p in moved else p for p in pairs if p not in there]


def _meets(folder: str, places: Sequence[str]) -> bool:
    """Whether a folder lies in one of the places, or one of them in it."""
    return within(folder, places) or any(within(place, (folder,)) for place in places)


def _touched(found: Sequence[Pair]) -> set[str]:
    return {path for pair in found for path in (pair.old, pair.new) if path}


def _if(path: str | None, fits: Callable[[str], bool]) -> str | None:
    return path if path and fits(path) else None


def _path(pair: Pair) -> str:
    return pair.new or pair.old or ""


def _tells(rig: RigChange) -> bool:
    """Whether anything came of a file that a rig's options name."""
    return bool(rig.turns) or rig.newly_unreadable or rig.status == "readable"


def _judged(side: Side, path: str | None, ruleset: Ruleset, settings: Settings, lacks: frozenset[str]) -> Judged:
    return judged(side, path, ruleset, settings, options_too=not lacks) if path else None


def _without(rig: RigChange, before: frozenset[str], after: frozenset[str]) -> RigChange:
    """The same, with what was not there on either side when it was judged."""
    was, is_ = (v and replace(v, absent=tuple(sorted(a))) for v, a in ((rig.before, before), (rig.after, after)))
    return replace(rig, before=was, after=is_)


def _rig_changes(pair: Pair, was: Judged, is_: Judged) -> list[RigChange]:
    """What became of the rig of a file; of two rigs, where a like file of another name describes another rig."""
    if pair.old != pair.new and isinstance(was, Report) and isinstance(is_, Report) and was.rig.name != is_.rig.name:
        return [_rig_change(pair.old, was, None, None), _rig_change(None, None, pair.new, is_)]
    return [_rig_change(pair.old, was, pair.new, is_)]


def _rig_change(old: str | None, was: Judged, new: str | None, is_: Judged) -> RigChange:
    return RigChange(_version(old, was), _version(new, is_), turns(was, is_))


def _version(path: str | None, found: Judged) -> Version | None:
    if path is None or found is None:
        return None
    return Version(path, found.rig, found.overall, ()) if isinstance(found, Report) else Version(path, None, "", found)


def turns(was: Judged, is_: Judged) -> tuple[Turn, ...]:
    """What became of each check of a rig, worst first; nothing where the rig is gone or cannot be read."""
    if not isinstance(is_, Report):
        return ()
    shown_as = display(is_.rig)
    both = pairs(was, is_) if isinstance(was, Report) else tuple((None, finding) for finding in is_.findings)
    told: tuple[str, ...] = KINDS if isinstance(was, Report) else (FAILS, OPENS)
    found = [Turn(b, a, kind) for b, a in both for kind in [_kind(b, a, shown_as)] if kind in told]
    return tuple(sorted(found, key=_worst_first))


def _kind(before: Finding | None, after: Finding | None, shown_as: Display) -> str:
    """What became of one check, as one of KINDS; empty when there is nothing to tell."""
    was, is_ = before.verdict if before else "", after.verdict if after else ""
    moved = _moved(before, after, shown_as) if before and after else 0.0
    if is_ in FAILING and was not in FAILING:
        return FAILS
    if is_ in FAILING and moved < 0:
        return FURTHER
    silenced = was in IN_DOUBT and is_ in ("", *SPEAKS_NOT)
    passed = was == is_ == "too_close" and moved < 0 and _sign(before) >= 0 > _sign(after)
    if (is_ in UNSETTLED and is_ != was) or (before and left_open(before, after)) or silenced or passed:
        return OPENS
    if is_ == was:
        return BROKEN if is_ == "rule_failed" else WORSENS if moved < 0 else IMPROVES if moved > 0 else ""
    if is_ in SETTLED and was not in SETTLED:
        return CLEARS if was in FAILING else SETTLES
    return "" if {was, is_} == {"", "not_applicable"} else OTHER


def _sign(finding: Finding | None) -> float:
    return (finding.margin or 0.0) if finding else 0.0


def _moved(before: Finding, after: Finding, shown_as: Display) -> float:
    """By how much a margin moved, SI; 0 where either side has none, and where it moved by less than the rounding shown."""
    if not (_has_margin(before) and _has_margin(after)) or before.dimension != after.dimension:
        return 0.0
    difference = (after.margin or 0.0) - (before.margin or 0.0)
    return difference if shown_as.shows(difference, after.dimension) else 0.0


def _has_margin(finding: Finding) -> bool:
    """Whether a load is held against a limit and something can be read off; whether two figures agree is no limit."""
    return finding.margin is not None and not finding.other[0] and finding.verdict not in (*NO_LIMIT, "conflict")


def _worst_first(turn: Turn) -> tuple[int, int, float, tuple[str, str, str]]:
    finding = turn.after or turn.before
    assert finding is not None  # a check that is on neither side is no turn
    margin = finding.relative_margin
    return KINDS.index(turn.kind), VERDICTS.index(finding.verdict), 0.0 if margin is None else margin, finding.key
