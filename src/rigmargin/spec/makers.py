"""What is the maker's to say of a rig: an option changes it only with a certificate that states its value."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from rigmargin.spec import patch, schema, units
from rigmargin.spec.document import Document, Key, dotted

#: What is the maker's to say. An option changes none of it without a certificate for that very rating.
_MAKERS = tuple(
    tuple(pattern.split("."))
    for pattern in (
        "tow_vehicle.max_mass", "tow_vehicle.max_combination_mass", "tow_vehicle.payload", "tow_vehicle.max_trailer_mass",
        "tow_vehicle.max_coupling_load", "tow_vehicle.coupling_share_band", "tow_vehicle.front_axle_restoration",
        "tow_vehicle.axles.*.max_load", "trailer.max_mass", "trailer.max_axle_group_load", "trailer.axles.*.max_load",
        "trailer.maker_fits",
    )
)  # fmt: skip


NOTHING = object()  # what a change says of what it does not write


def written(change: Any, path: Key) -> Any:
    """What a change writes at ``path``."""
    for key in path:
        if not isinstance(change, dict) or key not in change:
            return NOTHING
        change = change[key]
    return change


def makers_stand(base: Document, made: Document, change: Any) -> tuple[Document, list[str]]:
    """``made`` with everything put back that is the maker's to say and that ``change`` says without a certificate."""
    before, after = dict(_makers(base.data)), dict(_makers(made.data))
    refused: list[str] = []
    for path in dict.fromkeys((*before, *after)):
        new = after.get(path)
        if path[:2] == ("trailer", "axles") and written(made.data, path[:3]) is NOTHING:
            continue  # the axle itself is gone; one that takes its place has its own rating to show
        if _sound_above(made.data, path) and not _accepted(path, before.get(path), new, written(change, path)):
            own = dotted(made.as_written(path)).partition(".change.")[2] or dotted(path)
            refused.append(f"{own} {_in_words(new) or 'taken away'}")
            made = patch.put_back(made, base, path)
    return made, refused


def _sound_above(data: Any, path: Key) -> bool:
    """Whether the vehicle a path is of is still there, and everything above the path is a mapping where it is there at all."""
    for depth, key in enumerate(path[:-1]):
        if not isinstance(data, dict) or (not depth and key not in data):
            return False
        data = data.get(key, {})
    return isinstance(data, dict)


def _makers(data: Any, patterns: Sequence[tuple[str, ...]] = _MAKERS, path: Key = ()) -> Iterator[tuple[Key, Any]]:
    """Everything in a rig that is the maker's to say, by path."""
    inside = data if isinstance(data, dict) else {}
    for head, *rest in patterns:
        for name in inside if head == "*" else [head] if head in inside else []:
            here = (*path, name)
            if rest:
                yield from _makers(inside[name], [tuple(rest)], here)
            else:
                yield here, inside[name]


def _accepted(path: Key, old: Any, new: Any, written: Any) -> bool:
    """Whether a figure stays what it was, or ``written`` states it together with its certificate; of one with rows, each row.

    What is no figure at all is left to the schema, which says so.
    """
    if _plain(old) == _plain(new) or (isinstance(written, dict) and {"value", "certificate"} <= written.keys()):
        return True
    if new is None or not isinstance(new, dict) or "value" in new:
        return new is not None and not _fits(path, new)
    rows, parts = old if isinstance(old, dict) and "value" not in old else {}, written if isinstance(written, dict) else {}
    return all(row in new for row in rows) and all(
        _accepted((*path, row), rows.get(row), figure, parts.get(row, NOTHING)) for row, figure in new.items()
    )


def _fits(path: Key, node: Any) -> bool:
    """Whether what stands there is of the kind the schema asks for."""
    wanted = schema.at(path) or {}
    text = node.get("value") if isinstance(node, dict) else node
    if "x-dimension" not in wanted:
        return not isinstance(node, dict) and (node in wanted["enum"] if "enum" in wanted else wanted.get("type") != "object")
    try:
        units.parse(text, wanted["x-dimension"]) if isinstance(text, str) else units.parse("")
    except units.NotAQuantity:
        return False
    return True


#: What is said about a figure and is not part of it.
_ABOUT = ("ref", "read_on", "certificate")


def _plain(node: Any) -> Any:
    """What a figure says, so that two spellings of it are no change: numbers in SI, what is said about it left out."""
    if isinstance(node, dict):
        said = {key: _plain(value) for key, value in node.items() if key not in _ABOUT}
        return said["value"] if said.keys() == {"value"} else said
    try:
        return round(units.parse(node).si, 6) if isinstance(node, str) else node
    except units.NotAQuantity:
        return node


def _in_words(node: Any) -> str:
    """A figure as it is written."""
    if isinstance(node, dict) and "value" not in node:
        return ", ".join(f"{row} {_in_words(figure)}" for row, figure in node.items() if row not in _ABOUT)
    return "" if node is None else str(node.get("value") if isinstance(node, dict) else node)
