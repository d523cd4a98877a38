"""The rig schema as a walk over a rig's data needs it: what the schema says of each field, worked out once and kept.

A walk goes from ``root()`` down by ``Field.inside`` and ``Field.entries``. What it has not come to is not worked out.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, cached_property

from rigmargin.spec import schema, units
from rigmargin.spec.schema import Schema


class Field:
    """One place of the rig schema."""

    def __init__(self, node: Schema) -> None:
        self.node = node
        self.dimension: str = node.get("x-dimension", "")  # a key of units.UNITS; empty for what is no quantity
        self.unsourced: str = node.get("x-unsourced", "")  # the source of a figure whose file names none
        self.signed: bool = node.get("x-signed", False)  # whether it may be negative
        self.patches = "x-patch" in node  # an option's change: it is laid over the rig and says nothing of the rig as it is

    @cached_property
    def entries(self) -> Field | None:
        """What each entry of the list is; None for a list of words, which is one thing, and for what is no list."""
        items = self.node.get("items")
        return Field(items) if isinstance(items, dict) and items.get("type") != "string" else None

    @cached_property
    def synonyms(self) -> dict[str, str]:
        """The accepted other names of the fields in it: synonym to field."""
        return schema.synonym_table(self.node)

    @cached_property
    def span(self) -> tuple[float, float]:
        """What such a figure can be, in SI; a figure at the very end may differ by its conversion's rounding."""
        ends = self.node.get("x-range")
        if ends is None:
            return float("-inf"), float("inf")
        low, high = (units.parse(end, self.dimension).si for end in ends)
        slack = 1e-9 * max(abs(low), abs(high))
        return low - slack, high + slack

    @cached_property
    def inside(self) -> Mapping[str, Field | None]:
        """The field of each name in this one, None for a name that the schema does not have."""
        others = self.node.get("additionalProperties")
        made = _Inside({name: Field(self._row(name, child)) for name, child in self.node.get("properties", {}).items()})
        made.others = Field(others) if isinstance(others, dict) else None
        return made

    def _row(self, name: str, child: Schema) -> Schema:
        """What no limit can be, no row of it can be."""
        if name not in schema.ROWS or "x-range" not in self.node:
            return child
        title = f"{self.node['title']}, {child['title'].lower()}"
        return {**child, "x-range": self.node["x-range"], "title": title}


class _Inside(dict[str, Field | None]):
    """Fields by name; every name that is not there stands for one and the same, and is not kept."""

    others: Field | None = None

    def __missing__(self, name: str) -> Field | None:
        return self.others


@cache
def root() -> Field:
    """The whole rig file."""
    return Field(schema.rig())


def at(*path: str) -> Field:
    """The field at a path that the schema has, ``*`` for a name of the owner's choice."""
    found: Field | None = root()
    for key in path:
        found = found and found.inside[key]
    assert found is not None, path
    return found
