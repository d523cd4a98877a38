"""The first, fast question about a file's data: do they keep to the schema, yes or no.

A compiled validator answers in a hundredth of what it takes to look for mistakes one by one. It says nothing of what is wrong:
that is ``validate``'s part, which asks here first. The two accept the same data, and a test holds them to it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache, partial
from typing import Any

from rigmargin.spec import schema
from rigmargin.spec.keywords import OF_MAPPINGS, OF_TEXTS, Wrong, spells_itself
from rigmargin.spec.schema import Schema


def passes(data: Any, name: str) -> bool:
    """Whether ``data`` keep to the schema of that name; False too where they are nothing that JSON could say."""
    try:
        return bool(_validator(name).is_valid(data))
    except ValueError:
        return False


@cache
def _validator(name: str) -> Any:
    import jsonschema_rs  # a native library, loaded when the first file is validated

    formats: dict[str, Callable[[str], bool]] = {}
    keywords = {keyword: _keyword(check) for keyword, check in OF_MAPPINGS.items()}
    made = _made(schema.load(name), formats)
    return jsonschema_rs.Draft202012Validator(made, formats=formats, validate_formats=True, keywords=keywords)


def _made(node: Any, formats: dict[str, Callable[[str], bool]]) -> Any:
    """A schema as the validator takes it: what our own keywords say of texts as formats, and no patterns for editors only."""
    if isinstance(node, list):
        return [_made(each, formats) for each in node]
    if not isinstance(node, dict):
        return node
    made = {key: _made(value, formats) for key, value in node.items()}
    if isinstance(node.get("pattern"), str) and spells_itself(node):
        del made["pattern"]
    for keyword in OF_TEXTS.keys() & node.keys():
        made["format"] = f"{keyword} {node[keyword]}"
        formats[made["format"]] = partial(_sound, OF_TEXTS[keyword], node[keyword])
    return made


def _sound(check: Callable[[Any, str], Wrong | None], value: Any, text: str) -> bool:
    return check(value, text) is None


def _keyword(check: Callable[[Any, dict[str, Any], Schema], Iterator[Wrong]]) -> type:
    """One of our own keywords for mappings as the validator takes it: a class, made anew for each place in the schema."""

    class Keyword:
        def __init__(self, node: Schema, value: Any, path: list[str | int]) -> None:
            self.node, self.value = node, value

        def validate(self, instance: Any) -> None:
            if isinstance(instance, dict) and any(check(self.value, instance, self.node)):
                raise ValueError

    return Keyword
