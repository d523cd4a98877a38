"""Pages taken apart: their own scripts apart from everything else."""

import base64
import hashlib
import json
import re

_SCRIPT = re.compile(r"<script([^>]*)>(.*?)</script>", re.DOTALL)


def without_own_scripts(page):
    """A page without the scripts that it came with; fails on any other.

    A script may run only when the page's own policy names its hash; data for it is JSON and does not run.
    """
    allowed = re.findall(r"'sha256-([^']+)'", page[: page.index("</head>")])
    for attributes, text in _SCRIPT.findall(page):
        if 'type="application/json"' in attributes:
            json.loads(text)
            assert "<" not in text, "data that might open an element"
        else:
            assert attributes == ""
            assert base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() in allowed, text[:80]
    return _SCRIPT.sub("", page)


def as_shown(page):
    """A page without the label words that it holds back because the text beside them says the same."""
    return re.sub(r"<span data-label=\"[a-z_.]+\" hidden>[^<]*</span>", "", page)
