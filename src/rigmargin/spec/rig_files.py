"""Which YAML files are rig files: those that say ``rig:`` at their top.

A file that cannot be read as YAML may be a rig file all the same, and must not be lost for that. So this looks at the text
first, and passes over only what it can read.
"""

from __future__ import annotations

import re

from rigmargin.spec.document import decode
from rigmargin.spec.problem import FileProblems

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

    It tells what a file is meant to be and not whether it is sound: a file that looks like a rig may still not be readable. One
    of which nothing can be told, empty or no YAML at all, is taken for a rig, so that it is told of and not passed over.
    """
    raw = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    plain = raw.decode("utf-8", "replace").removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    first = _FIRST.search(plain)
    if first is not None:
        if first[2] == "{" and _IN_BRACES.search(plain):
            return True
        if any(field[1] == first[1] for field in _ON_A_LINE.finditer(plain)):
            return True
    return not _is_something_else(raw)


def _is_something_else(raw: bytes) -> bool:
    """Whether a file can be read, and says nothing of a rig."""
    try:
        return "rig" not in decode(raw, "").data
    except FileProblems as unreadable:
        return unreadable.problems[0].found in ("a list", "a single value")  # at its top
