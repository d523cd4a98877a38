"""What a person types, as what a rig file holds. Whether it is sound is asked of the reader of rig files, not here."""

from __future__ import annotations

import re
from typing import Any

from rigmargin.spec import words as regional
from rigmargin.start.questions import Question

#: Ways to leave a question out; an empty line is another.
DONT_KNOW = ("", "don't know", "dont know", "don’t know", "do not know", "unknown")
YES_NO = ("yes", "no")
MASSES = ("lb", "kg")
_BARE = re.compile(r"[0-9][0-9., ']*\Z")  # whether it is a number at all is not decided here


def choices(question: Question) -> tuple[str, ...]:
    """The words from which one is chosen; empty where the answer is free."""
    if question.ask == "@masses":
        return MASSES
    if question.aside:
        return YES_NO
    return tuple(word for word in question.node.get("enum", ()) if isinstance(word, str))


def chosen(question: Question, text: str) -> str:
    """The choice meant by its number or word, or a region's word for it; the text itself where it is none of them."""
    words = choices(question)
    if text.isdecimal() and 1 <= int(text[:3]) <= len(words):
        return words[int(text) - 1]
    plain = re.sub(r"[ -]+", "_", text.lower())
    if words == YES_NO:
        plain = {"y": "yes", "n": "no"}.get(plain, plain)
    if plain in words:
        return plain
    meant = {word.replace(" ", "_") for word in regional.meant(plain.replace("_", " "))} & set(words)
    return meant.pop() if len(meant) == 1 else text


def value(question: Question, text: str, unit: str, source: str) -> Any:
    """What the file holds for an answer: a bare mass gets its ``unit``, a figure its ``source``, where they are not empty."""
    node = question.node
    kinds = node.get("type", ())
    if kinds == "array":
        return re.split(r"[, ]+", text.lower().strip(", "))
    if choices(question):
        return chosen(question, text)
    if "integer" in kinds and text.isdecimal() and len(text) < 16:
        return int(text)
    if "x-dimension" not in node:
        return text
    figure = f"{text} {unit}" if node["x-dimension"] == "mass" and unit and _BARE.match(text) else text
    return {"value": figure, "source": source} if source and "source" in node.get("properties", {}) else figure
