"""Findings as SARIF 2.1.0 (OASIS), which code hosts show beside the lines of the files: many rigs, one run.

What is said of one file is a ``Part``: plain data, so that it can be made wherever the file was judged. ``render`` puts parts
together. No clock and no machine path: two logs of the same files are the same byte for byte.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from typing import Any
from urllib.parse import quote

from rigmargin import __version__
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.rule import Rule
from rigmargin.report import names, words
from rigmargin.report.display import Display, display
from rigmargin.report.regional import neutral
from rigmargin.spec.problem import Problem, printable

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
ROOT = "RIGS"  # the folder that file names are relative to, by the name the log gives it
#: How loud a verdict is. What is within, does not apply or is a note is no result at all.
LEVELS = {
    "over": "error", "unmet": "error", "outside_band": "error", "rule_failed": "error", "conflict": "warning",
    "too_close": "warning", "not_checked": "note", "at_limit": "note",
}  # fmt: skip
UNREADABLE = "rig-file"  # the id under which a file that cannot be read is told


@dataclass(frozen=True, slots=True)
class Part:
    """What is said of one file, as plain data."""

    path: str  # of the file, relative, with / between folders
    name: str  # the rig's; empty where the file cannot be read
    rules: dict[str, dict[str, Any]]  # the rules that have a result, by id
    results: tuple[dict[str, Any], ...]


def judged(report: Report, path: str, system: str = "rig") -> Part:
    """One judged rig, whose file is at ``path`` from the folder that all parts share."""
    told = [finding for finding in report.findings if finding.verdict in LEVELS]
    shown = display(report.rig, system)
    rules = {finding.rule: _rule(finding.rule, finding.source) for finding in told}
    return Part(path, printable(report.rig.name), rules, tuple(_result(finding, report, shown, path) for finding in told))


def unreadable(problems: Sequence[Problem], path: str) -> Part:
    """One file that cannot be read, with everything that is wrong with it; each problem names its file as ``path`` does."""
    results = tuple(
        {
            "ruleId": UNREADABLE,
            "level": "error",
            "message": {"text": _plain(problem.text)},
            "locations": [_location(problem.file, problem.line, problem.column)],
            "partialFingerprints": _fingerprint(problem.file, problem.path, problem.found),
        }
        for problem in problems
    )
    return Part(path, "", {UNREADABLE: _unreadable_rule()}, results)


def render(parts: Iterable[Part]) -> str:
    """One log with one run, the files by name. What is said of a file stays in its order, worst first."""
    ordered = sorted(parts, key=lambda part: part.path)
    rules = {rule["id"]: rule for part in ordered for rule in part.rules.values()}
    index = {id_: i for i, id_ in enumerate(sorted(rules))}
    results = [{**result, "ruleIndex": index[result["ruleId"]]} for part in ordered for result in part.results]
    run = {
        "tool": {
            "driver": {"name": "rigmargin", "semanticVersion": __version__, "rules": [rules[id_] for id_ in sorted(rules)]}
        },
        "language": "en",
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {ROOT: {"description": {"text": "The folder that the names of the rig files start from."}}},
        "artifacts": [_artifact(part) for part in ordered],
        "results": results,
    }
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(log, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def one(report: Report, system: str = "rig") -> str:
    """The log of one rig. Its file is named from where we are, or by its bare name when it lies elsewhere."""
    return render([judged(report, _from_here(report.rig.file), system)])


def one_unreadable(problems: Sequence[Problem], file: str) -> str:
    """The log of one file that cannot be read, with everything that is wrong with it; files are named as in that of a rig."""
    seen = [replace(problem, file=_from_here(problem.file)) for problem in problems]
    return render([unreadable(seen, _from_here(file))])


def _from_here(file: str) -> str:
    try:
        path = Path(os.path.relpath(file))
    except ValueError:  # on another drive, or no name at all
        return PurePath(file).name
    inside = path.parts and path.parts[0] != ".." and not path.is_absolute()
    return path.as_posix() if inside else path.name


def _result(finding: Finding, report: Report, shown: Display, path: str) -> dict[str, Any]:
    subject = names.subject(finding.subject, report.rig)
    cures = [shown.fill(cure, finding.excess, subject) for cure in finding.cures]
    learn = [shown.words.fill(names.capital(words.missing_words(missing))) for missing in finding.missing[:1]]
    word, mark = words.VERDICT_WORDS[finding.verdict]
    text = " ".join([f"{mark} {word}: {words.sentence(finding, report.rig, shown)}", *cures[:1], *learn])
    return {
        "ruleId": finding.rule,
        "level": LEVELS[finding.verdict],
        "message": {"text": _plain(text)},
        "locations": [_location(path, _line(finding))],
        "partialFingerprints": _fingerprint(path, *finding.key),
    }


def _line(finding: Finding) -> int:
    """The line of the limit, or of the first figure or word the finding rests on; 1 where it rests on none of this file."""
    stated = [*([finding.limit] if finding.limit else []), *(evidence.stated for evidence in finding.evidence)]
    return next((one.line for one in stated if not one.file and one.line > 0), 1)


def _location(path: str, line: int, column: int = 0) -> dict[str, Any]:
    region = {"startLine": max(line, 1), **({"startColumn": column} if column > 0 else {})}
    return {"physicalLocation": {"artifactLocation": _address(path), "region": region}}


def _artifact(part: Part) -> dict[str, Any]:
    about = {"description": {"text": _plain(part.name)}} if part.name else {}
    return {"location": _address(part.path), **about}


def _address(path: str) -> dict[str, str]:
    """A relative path as a URI; bytes that are no UTF-8 are kept."""
    return {"uri": quote(os.fsencode(path), safe="/"), "uriBaseId": ROOT}


def _fingerprint(*parts: str) -> dict[str, str]:
    """What stays the same while a check of a file stays the same check, whatever its line, its figures and its verdict."""
    text = "\0".join(parts).encode("utf-8", "surrogateescape")
    return {"check/v1": hashlib.sha256(text).hexdigest()[:32]}


def _rule(id_: str, rule: Rule | None) -> dict[str, Any]:
    if rule is None:
        return {"id": id_, "shortDescription": {"text": "A check that could not be loaded"}}
    rule = neutral(rule)  # one run tells of rigs of many places
    said = (f"Why: {rule.why}", f"Basis: {rule.basis}", f"Example: {rule.example}", f"When it does not apply: {rule.unless}")
    return {
        "id": id_,
        "shortDescription": {"text": _plain(rule.title)},
        "fullDescription": {"text": _plain(rule.what)},
        "help": {"text": "\n".join(_plain(line) for line in said)},
    }


def _unreadable_rule() -> dict[str, Any]:
    why = "A file with a mistake in it is not judged at all: nothing is known of its rig until the mistake is mended."
    return {
        "id": UNREADABLE,
        "shortDescription": {"text": "The file can be read as a rig file"},
        "help": {"text": f"Why: {why}\nBasis: the schema of rig files."},
    }


def _plain(text: str) -> str:
    """Text as a SARIF message: one line, braces doubled (they would be placeholders), and nothing that opens a link."""
    line = printable(" ".join(text.split())).encode("utf-8", "backslashreplace").decode("utf-8")
    return line.replace("{", "{{").replace("}", "}}").replace("](", "] (")
