"""What may stand in a YAML text: plain scalars, how deep, which characters; and what a parser's complaint about it means."""

from __future__ import annotations

import math
import re

import yaml

from rigmargin.spec.problem import shown

Place = tuple[int, int]  # line and column, both from 1

MAX_DEPTH = 40
TOO_DEEP = (f"more than {MAX_DEPTH} levels of nesting", "a few levels", "check the brackets and the indentation")
#: What may close each kind of bracket or quote that a parser reports as left open, by its words for the context.
_OPENED = {"flow mapping": "'}'", "flow sequence": "']'", "quoted scalar": "the closing quote"}

_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]*)\Z")
_DECIMAL = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?\Z")
UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff]")  # can come in by an escape in "…" only
_DIGITS = frozenset("0123456789")  # what a number ends with
_WORDS: dict[str, object] = {"true": True, "false": False, "null": None, "": None}


def scalar(text: str) -> object:
    """A plain YAML scalar by JSON's rules: true, false, null, JSON numbers; everything else stays text."""
    if text in _WORDS:
        return _WORDS[text]
    if text[-1] not in _DIGITS:
        return text
    if _INTEGER.match(text):
        return int(text) if len(text) <= 15 else text
    if _DECIMAL.match(text) and math.isfinite(float(text)):
        return float(text)
    return text


def explain(text: str, place: Place, error: yaml.MarkedYAMLError) -> tuple[str, str, str]:
    """Found, expected and cure for a YAML syntax error, in words that do not depend on the parser used."""
    lines = re.split(r"\r\n|[\r\n\x85\u2028\u2029]", text)  # YAML's own line breaks
    line = lines[place[0] - 1] if place[0] <= len(lines) else ""
    problem, context = error.problem or "broken YAML", error.context or ""
    if "maximum nesting depth" in problem:
        return TOO_DEEP
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return "a tab in the indentation", "spaces only", "replace the tab by spaces"
    if "mapping values are not allowed" in problem:
        return (
            "a second ': ' here, or a line indented more than the one above",
            "one 'name: value' a line",
            "put the text in quotes or the mapping in { }, or indent the line as its neighbours are",
        )
    close = next((mark for kind, mark in _OPENED.items() if kind in context), None)
    if close and error.context_mark:
        start = f"{error.context_mark.line + 1}:{error.context_mark.column + 1}"
        what = "text that goes on" if "quote" in close else "neither a comma nor a closing bracket"
        return what, f"{close} for what opens at {start}", f"close what opens at {start}, or put a comma before this"
    if "cannot start any token" in problem:
        return f"{shown(line[place[1] - 1 : place[1]])} at the start of a value", "plain text", "put the text in quotes"
    if "anchor" in context or "alias" in context:
        return (
            f"{shown(line[place[1] - 2 : place[1]])}, which starts an anchor or alias",
            "plain text",
            "put the text in quotes",
        )
    return (
        f"YAML that cannot be read ({shown(problem)})",
        "one 'name: value' a line, indented alike under its parent",
        "compare the indentation and the brackets here with the lines above",
    )
