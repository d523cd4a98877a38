"""YAML text to data and places, fast, for the files in which there is nothing to refuse: almost all.

Whatever is odd ends the reading with None, and ``document`` reads the text again, event by careful event, to say what it is. A
test holds the two equal in data and places.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import yaml

from rigmargin.spec.syntax import MAX_DEPTH, UNPRINTABLE, Place, scalar

Path = tuple[str | int, ...]
Found = tuple[dict[str, Any], dict[Path, Place], dict[Path, Place]]  # data, and where each value and each key stands


def read(text: str, loader: Any) -> Found | None:
    """What ``text`` holds, by one of PyYAML's loaders; None when there is anything in it that needs a careful look."""
    try:
        source = loader(text)
        try:
            return _mapping(source.get_event)
        finally:
            source.dispose()
    except (yaml.YAMLError, UnicodeError):
        return None


def _mapping(take: Callable[[], Any]) -> Found | None:  # noqa: PLR0912  # calls in the loop would double its time
    """The one mapping that the events describe. One loop for all levels and kinds: every rig has hundreds of events."""
    take(), take()  # the starts of the stream and of the document
    event: Any = take()
    if event.__class__ is not yaml.MappingStartEvent or event.anchor or event.tag:
        return None
    data: dict[str, Any] = {}
    mark: Any = event.start_mark
    values: dict[Path, Place] = {(): (mark.line + 1, mark.column + 1)}
    keys: dict[Path, Place] = {}
    above: list[tuple[Path, Any, Any]] = []
    path: Path = ()
    inside: Any = data  # the mapping or list that is being filled, which stands at ``path``
    key: Any = None  # the place in it that waits for its value; None where a mapping waits for a key
    while True:
        event = take()
        kind = event.__class__
        if kind is yaml.ScalarEvent:
            text, style = event.value, event.style
            if event.anchor or event.tag or (style == '"' and UNPRINTABLE.search(text)):
                return None
            if key is None:
                if text in inside or text == "<<":
                    return None
                key = text
                mark = event.start_mark
                keys[(*path, key)] = (mark.line + 1, mark.column + 1)
                continue
            value = text if style else scalar(text)
        elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
            if not above:
                break
            path, inside, key = above.pop()
            continue
        elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
            if key is None or event.anchor or event.tag or len(above) + 1 >= MAX_DEPTH:
                return None
            value = {} if kind is yaml.MappingStartEvent else []
        else:
            return None
        mark, here = event.start_mark, (*path, key)
        values[here] = (mark.line + 1, mark.column + 1)
        if inside.__class__ is dict:
            inside[key], key = value, None
        else:
            inside.append(value)
            key += 1
        if kind is not yaml.ScalarEvent:
            above.append((path, inside, key))
            path, inside, key = here, value, None if kind is yaml.MappingStartEvent else 0
    take()  # the end of the document
    return (data, values, keys) if take().__class__ is yaml.StreamEndEvent else None
