"""Which YAML files are rig files: those that say ``rig:`` at their top.

A file that cannot be read as YAML may be a rig file all the same, and must not be lost for that. So this looks at the text and
parses nothing.
"""

from __future__ import annotations

import re

ENDINGS = (".yaml", ".yml")
#: The first line that says something: no blank line, comment, directive or beginning of a document.
_FIRST = re.compile(r"^(?![ \t]*(?:#|$)|%|---(?:[ \t]|$)|\.\.\.(?:[ \t]|$))([ \t]*)(\S)", re.MULTILINE)
_IN_BRACES = re.compile(r"""[{,]\s*(["']?)rig\1\s*:""")
_ON_A_LINE = re.compile(r"""^([ \t]*)(["']?)rig\2[ \t]*:""", re.MULTILINE)


def named_like_a_rig(name: str) -> bool:
    """Whether a file's name has one of the endings a rig file may have."""
    return name.lower().endswith(ENDINGS)


def looks_like_a_rig(text: str | bytes) -> bool:
    """Whether a YAML file, given as its text or bytes, is meant as a rig file: ``rig:`` is among its outermost fields.

    It tells what a file is meant to be and not whether it is sound: a file that looks like a rig may still not be readable.
    """
    if isinstance(text, bytes):
        text = text.decode("utf-8", "replace")
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    first = _FIRST.search(text)
    if first is None:
        return False
    if first[2] == "{":
        return _IN_BRACES.search(text) is not None
    return any(field[1] == first[1] for field in _ON_A_LINE.finditer(text))
