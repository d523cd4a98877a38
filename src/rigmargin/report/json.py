"""The report for machines: the contract of ``schemas/report.schema.json``.

Masses in kg, shares as plain ratios; rounded alike everywhere; no clock and no machine path, so that two reports of one file
are the same byte for byte.
"""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any

from rigmargin import __version__
from rigmargin.advice.learn import Act, learn
from rigmargin.judge.finding import Finding, Report
from rigmargin.loads.estimate import Estimate, Load
from rigmargin.loads.facts import Missing
from rigmargin.loads.value import expanded, nominal
from rigmargin.report import by_settings, names, standing, words
from rigmargin.report.display import Display, display, file_name
from rigmargin.report.regional import Regional, said
from rigmargin.spec.rig import Rig

UNITS = {
    "mass": "kg", "ratio": "1", "length": "m", "pressure": "Pa", "moment": "N m", "stiffness": "N/m", "speed": "m/s",
    "force": "N",
}  # fmt: skip
#: Digits behind the point, of SI units.
PLACES = {"mass": 1, "ratio": 4, "length": 3, "pressure": 0, "moment": 0, "stiffness": 0, "speed": 2, "force": 0}


@lru_cache(maxsize=4096)
def _rounded(value: float | None, dimension: str) -> float | None:
    return None if value is None else round(value, PLACES.get(dimension, 1)) + 0.0


def render(report: Report) -> str:
    """The report as JSON text: one load and one finding a line, so that two reports differ line by line in git."""
    rig, shown, tight = report.rig, display(report.rig), report.tightest
    fields = {
        "report": "1",
        "rigmargin": _text(__version__),
        "rig": _text({"name": rig.name, "file": file_name(rig), "places": list(rig.places)}),
        "overall": _text(report.overall),
        "headline": _text(words.headline(report, shown)),
        "counts": _text(dict(report.counts)),
        "tightest": _text({"rule": tight.rule, "subject": tight.subject} if tight else None),
        "loads": _lines("{}", [f"{_text(_key(load))}: {_load(load)}" for load in report.facts.loads.values()]),
        "next": _lines("[]", [_text(said(_act(act), shown.words)) for act in learn(report)]),
        **{name: _text(value) for name, value in by_settings.fields(report).items()},
        "findings": _lines("[]", [_finding(finding, rig, shown) for finding in report.findings]),
    }
    return "{\n" + ",\n".join([f' "{name}": {text}' for name, text in fields.items()]) + "\n}\n"


_text = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode  # made once: a report is many small pieces


def _lines(brackets: str, entries: list[str]) -> str:
    """The text of a mapping or a list, an entry a line."""
    if not entries:
        return brackets
    return brackets[0] + "\n  " + ",\n  ".join(entries) + "\n " + brackets[1]


# The pieces of a report that recur in it and in the reports of like rigs, each written once.


@lru_cache(maxsize=4096, typed=True)
def _scalar(value: float | str | bool | None) -> str:
    return _text(value)


@lru_cache(maxsize=4096)
def _check(rule: str, subject: str, verdict: str, state: str) -> str:
    check = {"rule": rule, "subject": subject, "verdict": verdict} | ({"state": state} if state else {})
    return _text(check)[1:-1]


@lru_cache(maxsize=1024)
def _authority(basis: str, origin: str) -> str:
    return _text({"basis": basis, "origin": origin})[1:-1]


@lru_cache(maxsize=1024)
def _missing(missing: tuple[Missing, ...], own: Regional) -> str:
    return _text([{"path": m.path, "how": own.fill(m.how), "instead": list(m.instead)} for m in missing])


@lru_cache(maxsize=4096)
def _evidence(path: str, line: int, file: str, source: str) -> str:
    other = {"file": file} if file else {}
    return _text({"path": path, "line": line, **other, "source": source or "not stated"})


def _key(load: Load) -> str:
    return load.name if load.state == "coupled" else f"{load.name}@{load.state}"


def _load(load: Load) -> str:
    best = load.best
    if best is None:
        lacking = [list(way) for way in (load.tickets, load.items) if way]
        return _text({"value": None, "unit": UNITS[load.dimension], "missing": lacking})
    value, uncertainty, made = _estimate(best, load.dimension)
    as_read = f', "as_read": {_scalar(_rounded(nominal(best.as_read), load.dimension))}' if best.as_read is not None else ""
    others = ", ".join(["{" + ", ".join(_estimate(e, load.dimension)) + "}" for e in load.estimates[1:]])
    others = f', "others": [{others}]' if others else ""
    return f'{{{value}, "unit": "{UNITS[load.dimension]}", {uncertainty}, {made}{as_read}{others}}}'


def _estimate(estimate: Estimate, dimension: str) -> tuple[str, str, str]:
    return (
        f'"value": {_scalar(_rounded(nominal(estimate.value), dimension))}',
        f'"uncertainty": {_scalar(_rounded(expanded(estimate.value), dimension))}',
        f'"method": "{estimate.method}", "from": {_text(estimate.origin)}',
    )


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


def _finding(finding: Finding, rig: Rig, shown: Display) -> str:
    source = finding.source
    evidence = ", ".join([_evidence(e.stated.path, e.stated.line, e.stated.file, e.stated.source) for e in finding.evidence])
    notes = [shown.fill(note) for note in finding.notes]
    cures = [shown.fill(cure, finding.excess, names.subject(finding.subject, rig)) for cure in finding.cures]
    return (
        f"{{{_check(finding.rule, finding.subject, finding.verdict, finding.state)}{_numbers(finding)}, "
        f'"text": {_text(words.sentence(finding, rig, shown))}, '
        f"{_authority(shown.words.fill(source.basis), source.origin) if source else _authority('', '')}, "
        f'"missing": {_missing(finding.missing, shown.words)}, "evidence": [{evidence}], '
        f'"notes": {_texts(notes)}, "cure": {_texts(cures)}}}'
    )


def _texts(texts: list[str]) -> str:
    return f"[{', '.join(map(_text, texts))}]" if texts else "[]"


def _numbers(finding: Finding) -> str:
    members = (numbers(finding) | standing.fields(finding)).items()
    return "".join([f', "{name}": {_text(v) if isinstance(v, dict) else _scalar(v)}' for name, v in members])
