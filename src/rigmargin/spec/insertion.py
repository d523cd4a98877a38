"""Tickets added to the text of a rig file, and every other character of it left as it stands.

The text is not written anew from its data: that would lose its owner's comments, quotes and line breaks. Where an entry goes is
read off the YAML nodes' own marks, and the result is read again before it is believed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from rigmargin.spec.document import parse
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.syntax import scalar

Ticket = Mapping[str, Any]  # texts, lists of texts, and mappings of texts, as ``weighings`` holds them
LIST = "weighings"
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_BREAK = re.compile(r"\r\n|\n|\r")
#: A text that needs no quotes anywhere in a list or mapping on one line.
_PLAIN = re.compile(r"[^\W_][\w./%+-]*(?: [\w./%+-]+)*\Z", re.ASCII)
#: Printable in JSON, and no character or a line break in YAML.
_ESCAPED = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")


class NoPlace(Exception):
    """The tickets cannot be added without touching something else; says why."""


def with_tickets(text: str, tickets: Sequence[Ticket]) -> str:
    """``text`` (a rig file that can be read, without byte order mark) with the tickets as the last of its weighings.

    Raises NoPlace.
    """
    root = yaml.compose(text, Loader=_LOADER)
    assert isinstance(root, yaml.MappingNode)  # the reader refuses everything else
    at, added = _insertion(text, root, tickets)
    changed = text[:at] + added + text[at:]
    _confirm(text, changed, tickets)
    return changed


def _insertion(text: str, root: yaml.MappingNode, tickets: Sequence[Ticket]) -> tuple[int, str]:
    """Where something goes in, and what."""
    own = next((value for key, value in root.value if key.value == LIST), None)
    entries = [_written(ticket, quoted=bool(root.flow_style)) for ticket in tickets]
    joined = ", ".join(entries)
    if isinstance(own, yaml.SequenceNode) and own.flow_style:
        if own.value:
            return own.value[-1].end_mark.index, f", {joined}"
        return own.start_mark.index + 1, joined
    if isinstance(own, yaml.SequenceNode):
        at = _past_remarks(text, _line_after(text, own), own.start_mark.column)
        return _lines(text, at, [f"{' ' * own.start_mark.column}- {entry}" for entry in entries])
    if own is not None:
        raise NoPlace(f"what stands under '{LIST}' is no list")
    if root.flow_style:
        return root.value[-1][1].end_mark.index, f', "{LIST}": [{joined}]'
    margin = " " * root.start_mark.column
    return _lines(text, root.end_mark.index, [f"{margin}{LIST}:", *(f"{margin}  - {entry}" for entry in entries)])


def _line_after(text: str, node: yaml.Node) -> int:
    """The beginning of the line after the one on which the content of ``node`` ends; a comment behind it stays with it."""
    while isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(last, tuple) else last
    end: int = node.end_mark.index
    if getattr(node, "style", None) in ("|", ">"):
        return end  # such a text ends with its last line
    found = _BREAK.search(text, end)
    return found.end() if found else len(text)


def _past_remarks(text: str, at: int, column: int) -> int:
    """The end of the comments at ``at`` that are indented deeper than the dashes: they speak of the entry above them."""
    found = re.compile(rf"(?:(?:[ \t]*(?:{_BREAK.pattern}))*[ ]{{{column + 1},}}#[^\r\n]*(?:{_BREAK.pattern}|\Z))*").match(
        text, at
    )
    return found.end() if found and at and text[at - 1] in "\r\n" else at


def _lines(text: str, at: int, lines: list[str]) -> tuple[int, str]:
    """Whole lines to go in at ``at``, with the line breaks of their surroundings."""
    before = _BREAK.search(text, max(at - 2, 0), at) or _BREAK.search(text)
    end = before.group() if before else "\n"
    joined = end.join(lines)
    return at, f"{joined}{end}" if at == 0 or text[at - 1] in "\r\n" else f"{end}{joined}"


def _written(value: Any, *, quoted: bool) -> str:
    """A ticket, or a part of it, on one line."""
    if isinstance(value, Mapping):
        fields = (f"{_text(name, quoted)}: {_written(each, quoted=quoted)}" for name, each in value.items())
        return f"{{{', '.join(fields)}}}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(_written(each, quoted=quoted) for each in value)}]"
    return _text(value, quoted)


def _text(text: str, quoted: bool) -> str:
    if not quoted and _PLAIN.match(text) and isinstance(scalar(text), str):
        return text
    return _ESCAPED.sub(lambda found: f"\\u{ord(found.group()):04x}", json.dumps(text, ensure_ascii=False))


def _confirm(before: str, after: str, tickets: Sequence[Ticket]) -> None:
    """Hold the changed text to what it should say. Raises NoPlace."""
    wanted = parse(before, "").data
    wanted[LIST] = [*wanted.get(LIST, ()), *tickets]
    try:
        found = parse(after, "").data
    except FileProblems as unreadable:
        raise NoPlace(f"the file could not be read any more ({unreadable.problems[0].found})") from None
    if found != wanted:
        raise NoPlace("something else in the file would change its meaning")
