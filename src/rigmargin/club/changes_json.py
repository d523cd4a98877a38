"""What changed, for machines. SI, rounded as in a report; ``schemas/changes.schema.json`` says what each field is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rigmargin import __version__
from rigmargin.club.changes import Changes, RigChange, Turn, Version
from rigmargin.judge.finding import Finding
from rigmargin.report import words
from rigmargin.report.display import display
from rigmargin.report.json import identity, numbers
from rigmargin.spec.problem import writable


def document(answer: Changes, headline: str, settings: Sequence[str]) -> dict[str, Any]:
    """SI, rounded as in a report; of revisions the words they were asked for with."""
    return {
        "changes": 1,
        "rigmargin": __version__,
        "old": answer.old,
        "new": answer.new,
        "exit_code": answer.code,
        "headline": headline,
        "rigs": [_rig_entry(rig) for rig in answer.rigs],
        "failures": [failure.reason for failure in answer.failures],
        "terms_differ": [writable(path) for path in answer.unshown],
        "submodules": [writable(path) for path in answer.submodules],
        **({"settings": {"remarks": list(settings)}} if settings else {}),
    }


def _rig_entry(rig: RigChange) -> dict[str, Any]:
    return {
        "file": writable(rig.path),
        "status": rig.status,
        "before": _side(rig.before),
        "after": _side(rig.after),
        "turns": [_turn(turn, rig) for turn in rig.turns],
    }


def _side(version: Version | None) -> dict[str, Any] | None:
    if version is None:
        return None
    return {
        "file": writable(version.path),
        "name": version.rig.name if version.rig else None,
        "overall": version.overall or None,
        **({"absent": [writable(path) for path in version.absent]} if version.absent else {}),
        "problems": [
            {"file": writable(p.file), "line": p.line, "column": p.column, "path": p.path, "text": p.text}
            for p in version.problems
        ],
    }


def _turn(turn: Turn, rig: RigChange) -> dict[str, Any]:
    finding, version = (turn.after, rig.after) if turn.after else (turn.before, rig.before)
    assert finding is not None and version is not None and version.rig is not None  # where its finding is, its rig is
    return {
        **identity(finding, version.rig),
        "kind": turn.kind,
        "before": _finding(turn.before),
        "after": _finding(turn.after),
        "text": words.sentence(finding, version.rig, display(version.rig)) if turn.after else "",
    }


def _finding(finding: Finding | None) -> dict[str, Any] | None:
    return None if finding is None else {"verdict": finding.verdict, **numbers(finding)}
