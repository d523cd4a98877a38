"""The report for machines: the contract of ``schemas/report.schema.json``.

Masses in kg, shares as plain ratios; rounded alike everywhere; no clock and no machine path, so that two reports of one file
are the same byte for byte.
"""

from __future__ import annotations

import json
from typing import Any

from rigmargin import __version__
from rigmargin.advice.learn import Act, learn
from rigmargin.judge.finding import Finding, Report
from rigmargin.loads.estimate import Load
from rigmargin.loads.value import expanded, nominal
from rigmargin.report import words
from rigmargin.report.display import Display, display, file_name
from rigmargin.spec.rig import Rig

UNITS = {
    "mass": "kg", "ratio": "1", "length": "m", "pressure": "Pa", "moment": "N m", "stiffness": "N/m", "speed": "m/s",
    "force": "N",
}  # fmt: skip
#: Digits behind the point, of SI units.
PLACES = {"mass": 1, "ratio": 4, "length": 3, "pressure": 0, "moment": 0, "stiffness": 0, "speed": 2, "force": 0}


def _rounded(value: float | None, dimension: str) -> float | None:
    return None if value is None else round(value, PLACES.get(dimension, 1)) + 0.0


def document(report: Report) -> dict[str, Any]:
    """The report as plain data."""
    rig, shown = report.rig, display(report.rig)
    tight = report.tightest
    return {
        "report": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig), "places": list(rig.places)},
        "overall": report.overall,
        "headline": words.headline(report, shown),
        "counts": dict(report.counts),
        "tightest": {"rule": tight.rule, "subject": tight.subject} if tight else None,
        "loads": {_key(load): _load(load) for load in report.facts.loads.values()},
        "next": [_act(act) for act in learn(report)],
        "findings": [_finding(finding, report, shown) for finding in report.findings],
    }


def render(report: Report) -> str:
    """The report as JSON text: one load and one finding a line, so that two reports differ line by line in git."""
    fields = [f" {_compact(name)}: {_spread(value)}" for name, value in document(report).items()]
    return "{\n" + ",\n".join(fields) + "\n}\n"


_compact = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode  # made once: a report is many small pieces


def _spread(value: object) -> str:
    """A mapping of mappings or a list of mappings an entry a line; anything else on one line."""
    if isinstance(value, dict) and value and all(isinstance(entry, dict) for entry in value.values()):
        return "{\n" + ",\n".join(f"  {_compact(name)}: {_compact(entry)}" for name, entry in value.items()) + "\n }"
    if isinstance(value, list) and value:
        return "[\n" + ",\n".join(f"  {_compact(entry)}" for entry in value) + "\n ]"
    return _compact(value)


def _key(load: Load) -> str:
    return load.name if load.state == "coupled" else f"{load.name}@{load.state}"


def _load(load: Load) -> dict[str, Any]:
    best = load.best
    if best is None:
        return {
            "value": None,
            "unit": UNITS[load.dimension],
            "missing": [list(way) for way in (load.tickets, load.items) if way],
        }
    entry: dict[str, Any] = {
        "value": _rounded(nominal(best.value), load.dimension),
        "unit": UNITS[load.dimension],
        "uncertainty": _rounded(expanded(best.value), load.dimension),
        "method": best.method,
        "from": best.origin,
    }
    if best.as_read is not None:
        entry["as_read"] = _rounded(nominal(best.as_read), load.dimension)
    others = load.estimates[1:]
    if others:
        entry["others"] = [
            {
                "value": _rounded(nominal(e.value), load.dimension),
                "uncertainty": _rounded(expanded(e.value), load.dimension),
                "method": e.method,
                "from": e.origin,
            }
            for e in others
        ]
    return entry


def _act(act: Act) -> dict[str, Any]:
    settles = [{"rule": f.rule, "subject": f.subject} for f in act.settles]
    return {"act": act.name, "how": act.how, "paths": list(act.paths), "settles": settles}


def identity(finding: Finding, rig: Rig) -> dict[str, str]:
    """Which check of a rig a finding is, with the limit by name."""
    limit = words.limit_words(finding, rig)
    return {"rule": finding.rule, "subject": finding.subject, "state": finding.state, "limit": limit}


def numbers(finding: Finding) -> dict[str, Any]:
    """What a finding compared, in the unit it names; nothing where there are no numbers."""
    if finding.load is None or finding.other[0]:
        return {}
    entry: dict[str, Any] = {
        "load": _rounded(finding.load, finding.dimension),
        "limit": _rounded(finding.high if finding.high is not None else finding.low, finding.dimension),
        "margin": _rounded(finding.margin, finding.dimension),
        "uncertainty": _rounded(finding.uncertainty, finding.dimension),
        "unit": UNITS[finding.dimension],
    }
    if finding.low is not None and finding.high is not None:
        entry["low"] = _rounded(finding.low, finding.dimension)
    if finding.rival:
        value = _rounded(nominal(finding.rival.value), finding.dimension)
        entry["rival"] = {"value": value, "method": finding.rival.method, "from": finding.rival.origin}
    if finding.at_least:
        entry["at_least"] = True
    return entry


def _finding(finding: Finding, report: Report, shown: Display) -> dict[str, Any]:
    subject = words.subject_words(finding.subject, report.rig)
    entry: dict[str, Any] = {"rule": finding.rule, "subject": finding.subject, "verdict": finding.verdict}
    if finding.state:
        entry["state"] = finding.state
    entry |= numbers(finding)
    entry["text"] = words.sentence(finding, report.rig, shown)
    entry["basis"] = finding.source.basis if finding.source else ""
    entry["origin"] = finding.source.origin if finding.source else ""
    entry["missing"] = [{"path": m.path, "how": m.how, "instead": list(m.instead)} for m in finding.missing]
    entry["evidence"] = [
        {"path": e.stated.path, "line": e.stated.line, "source": e.stated.source or "not stated"} for e in finding.evidence
    ]
    entry["notes"] = [shown.fill(note) for note in finding.notes]
    entry["cure"] = [shown.fill(cure, finding.excess, subject) for cure in finding.cures]
    return entry
