"""Tickets and fields added to the text of a rig file, and every other character of it left as it stands.

The text is not written anew from its data: that would lose its owner's comments, quotes and line breaks. Where an entry goes is
read off the YAML nodes' own marks, and the result is read again before it is believed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import yaml

from rigmargin.spec.document import Key, parse
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
    data = parse(text, "").data
    own = data.get(LIST, [])
    if not isinstance(own, list):
        raise NoPlace(f"what stands under '{LIST}' is no list")
    return with_fields(text, {**data, LIST: [*own, *tickets]})


def with_fields(text: str, wanted: Mapping[str, Any]) -> str:
    """``text`` with every field and list entry of ``wanted`` that it lacks; what it holds already stays where it is.

    Raises NoPlace, also when ``wanted`` says something else of what it holds.
    """
    missing = list(_missing(parse(text, "").data, wanted, ()))
    for path, value in missing:
        root = yaml.compose(text, Loader=_LOADER)
        assert isinstance(root, yaml.CollectionNode)  # the reader refuses everything else
        at, added = _insertion(text, root, path, value)
        text = text[:at] + added + text[at:]
    _hold(text, wanted)
    return text


def _missing(data: Any, wanted: Any, path: Key) -> Iterator[tuple[Key, Any]]:
    """What ``wanted`` has and ``data`` has not, with its path, the outermost only."""
    if isinstance(data, dict) and isinstance(wanted, Mapping):
        for name, value in wanted.items():
            yield from _missing(data[name], value, (*path, name)) if name in data else [((*path, name), value)]
    elif isinstance(data, list) and isinstance(wanted, list):
        for index, value in enumerate(wanted):
            yield from _missing(data[index], value, (*path, index)) if index < len(data) else [((*path, index), value)]


def _node(node: yaml.CollectionNode, path: Key) -> yaml.CollectionNode:
    """The mapping or list at a path of names and positions."""
    for part in path:
        if isinstance(node, yaml.SequenceNode):
            node = node.value[int(part)]
        else:
            node = next(value for key, value in node.value if key.value == part)
    return node


def _insertion(text: str, root: yaml.CollectionNode, path: Key, value: Any) -> tuple[int, str]:
    """Where one more entry of a mapping or list goes in, and what."""
    above, name = _node(root, path[:-1]), path[-1]
    if above.flow_style:
        entry = written(value, quoted=bool(root.flow_style))
        if isinstance(name, str):
            entry = f"{_text(name, bool(root.flow_style))}: {entry}"
        if not above.value:
            return above.start_mark.index + 1, entry
        last = above.value[-1]
        end: int = (last[1] if isinstance(last, tuple) else last).end_mark.index
        return end, f", {entry}"
    margin = " " * above.start_mark.column
    if not isinstance(name, str):
        lines = [f"{margin}- {written(value)}"]
    elif isinstance(value, list) and value and isinstance(value[0], Mapping):
        lines = [f"{margin}{written(name)}:", *(f"{margin}  - {written(each)}" for each in value)]
    else:
        lines = [f"{margin}{written(name)}: {written(value)}"]
    at = root.end_mark.index if above is root else _line_after(text, above)
    return _lines(text, at if isinstance(name, str) else _past_remarks(text, at, above.start_mark.column), lines)


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


def written(value: Any, *, quoted: bool = False) -> str:
    """A value as YAML on one line; a text in quotes where it needs them, or with ``quoted`` always."""
    if isinstance(value, Mapping):
        fields = (f"{_text(name, quoted)}: {written(each, quoted=quoted)}" for name, each in value.items())
        return f"{{{', '.join(fields)}}}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(written(each, quoted=quoted) for each in value)}]"
    return _text(value, quoted) if isinstance(value, str) else json.dumps(value)


def _text(text: str, quoted: bool) -> str:
    if not quoted and _PLAIN.match(text) and isinstance(scalar(text), str):
        return text
    return _ESCAPED.sub(lambda found: f"\\u{ord(found.group()):04x}", json.dumps(text, ensure_ascii=False))


def _hold(after: str, wanted: Mapping[str, Any]) -> None:
    try:
        found = parse(after, "").data
    except FileProblems as unreadable:
        raise NoPlace(f"the file could not be read any more ({unreadable.problems[0].found})") from None
    if found != wanted:
        raise NoPlace("something else in the file would change its meaning")
