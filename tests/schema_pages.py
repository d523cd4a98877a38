"""The reference pages of docs/ that are made of the schemas: settings, regulation files and the JSON answers."""

from __future__ import annotations

import json

from markdown_pages import cell, page, table

from rigmargin.spec import schema

#: The schemas of what the commands write as JSON, in the order of the page.
ANSWERS = ("report", "headroom", "compare", "shopping", "plan", "places", "settled", "changes", "club")
STANDS_FOR = "In the tables of fields `*` stands for a name of your choice and `[]` for an entry of a list."
_KINDS = {
    "string": "text", "object": "mapping", "array": "list", "integer": "whole number", "boolean": "true or false",
}  # fmt: skip


def settings_file() -> str:
    """docs/settings-file.md: every field of rigmargin.yaml."""
    intro = f"What each setting does, with examples, stands in [Settings](settings.md). {STANDS_FOR}"
    return page("The settings file", "`schemas/settings.schema.json`", intro, *fields(schema.load("settings.schema.json")))


def regulation_file() -> str:
    """docs/regulation-file.md: every field of a regulation file."""
    intro = (
        "How to write one stands in [rules of your own](local-rules.md) and "
        f"[for contributors](../DEVELOPERS.md#add-a-regulation). {STANDS_FOR}"
    )
    return page(
        "The regulation file", "`schemas/regulation.schema.json`", intro, *fields(schema.load("regulation.schema.json"))
    )


def json_schemas() -> str:
    """docs/json-schemas.md: every field of every JSON answer."""
    lines: list[str] = []
    for name in ANSWERS:
        whole = schema.load(f"{name}.schema.json")
        about = f"`schemas/{name}.schema.json`. {cell(whole.get('description', ''))}".rstrip()
        lines += ["", f"## {whole['title']}", "", about, "", *fields(whole)]
    return page(
        "Schemas of the JSON answers",
        "`schemas/`",
        "Each answer of `--to PATH.json`, and what `rigmargin club` writes of many rigs, has a schema (JSON Schema, draft "
        "2020-12) in `schemas/`, installed as `rigmargin.schemas`. What the fields of a report mean in full, with an example, "
        f"stands in [the JSON report](json-report.md). {STANDS_FOR}",
        *lines[1:],
    )


def fields(whole: schema.Schema) -> list[str]:
    """A table of all fields of a schema, and one of each thing with fields of its own that several places name."""
    lines = table(("field", "what it is", "takes"), _rows_of(whole, whole))
    for part, node in whole.get("$defs", {}).items():
        if _has_fields(node):
            lines += ["", f"**`{part}`**: {cell(node.get('description', '')) or 'used above.'}", ""]
            lines += table(("field", "what it is", "takes"), _rows_of(node, whole))
    return lines


def _has_fields(node: schema.Schema) -> bool:
    return any(each.get("properties") for each in (node, *node.get("oneOf", ()), *node.get("anyOf", ())))


def _rows_of(top: schema.Schema, whole: schema.Schema) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []

    def visit(node: schema.Schema, path: str) -> None:
        part = node.get("$ref", "").rpartition("/")[2]
        meant = whole["$defs"][part] if part else {}
        named = _has_fields(meant)
        node = node if named else {**meant, **node}
        if path:
            said = node.get("description") or meant.get("description") or node.get("title", "")
            rows.append((f"`{path}`", cell(said), f"`{part}`, see below" if named else cell(_takes(node))))
        for each in (node, *node.get("oneOf", ()), *node.get("anyOf", ())):
            for field, child in each.get("properties", {}).items():
                visit(child, f"{path}.{field}" if path else field)
            if isinstance(each.get("additionalProperties"), dict):
                visit(each["additionalProperties"], f"{path}.*" if path else "*")
            if isinstance(each.get("items"), dict):
                visit(each["items"], f"{path}[]")

    visit(top, "")
    return list(dict.fromkeys(rows))


def _takes(node: schema.Schema) -> str:
    if "enum" in node:
        return " or ".join(f"`{json.dumps(word) if word is None else word}`" for word in node["enum"])
    if "const" in node:
        return f"`{node['const']}`"
    if "x-dimension" in node:
        low, high = node.get("x-range", (None, None))
        return node["x-dimension"] + (f", {low} to {high}" if low else "")
    kind = node.get("type")
    if kind is None:
        return "one of several forms" if node.get("oneOf") or node.get("anyOf") else ""
    return " or ".join(_KINDS.get(each, each) for each in (kind if isinstance(kind, list) else [kind]))


def pages() -> dict[str, str]:
    """Each page by its name, with its content."""
    return {"settings-file": settings_file(), "regulation-file": regulation_file(), "json-schemas": json_schemas()}
