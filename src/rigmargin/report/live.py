"""What a page gives its own script: the script itself, and what it needs to write other units and the words of others."""

from __future__ import annotations

import base64
import hashlib
import importlib.resources
import math
from functools import cache
from typing import Any, NamedTuple

from rigmargin.report import display
from rigmargin.report.regional import Regional
from rigmargin.spec import words

#: The vocabularies a reader may choose from, with their names.
VOCABULARIES = {
    "us": "United States", "ca": "Canada", "gb": "United Kingdom", "ie": "Ireland", "eu": "European Union", "au": "Australia",
    "nz": "New Zealand", words.NEUTRAL: "no region",
}  # fmt: skip


class Script(NamedTuple):
    """A page's script, and what the page's own policy allows to run: this text and nothing else."""

    text: str
    hash: str


@cache
def script(name: str) -> Script:
    """One of the scripts beside the templates."""
    text = importlib.resources.files("rigmargin.report").joinpath("templates", name).read_text("utf-8")
    return Script(text, base64.b64encode(hashlib.sha256(text.encode()).digest()).decode())


def vocabularies(own: Regional) -> dict[str, dict[str, list[str]]]:
    """What each term is called, for one, for many, on a label in a rig file, and written out, by vocabulary, for a rig of
    ``own``'s kinds; a vocabulary that is not named says it as no region does."""
    return _vocabularies(own.kinds)


@cache
def _vocabularies(kinds: tuple[tuple[str, str], ...]) -> dict[str, dict[str, list[str]]]:
    found: dict[str, dict[str, list[str]]] = {}
    for term in words.every():
        for region in (words.NEUTRAL, *words.REGIONS):
            there = Regional(region, kinds)
            said = [there.word(term), there.word(term, "words"), there.label(term).replace("_", " "), there.long(term)]
            if region == words.NEUTRAL or said != found[term][words.NEUTRAL]:
                found.setdefault(term, {})[region] = said
    return found


def units(shown: display.Display) -> dict[str, Any]:
    """What a script needs to write a number as ``Display.number`` does: the units by dimension, and what each is in SI."""
    sizes = dict(display.SHOWN)
    if shown.pressure == "kPa":
        sizes["pressure"] = tuple((up_to, us, display.KILOPASCALS) for up_to, us, _ in sizes["pressure"])
    own = dict(shown.own)
    own |= {display.INFLATION: own["pressure"]} if "pressure" in own else {}
    names = {unit for rows in sizes.values() for _, us, metric in rows for unit, _ in (us, metric)}
    return {
        "systems": shown.systems,
        "own": own,
        "rows": {
            dimension: [[None if up_to == math.inf else up_to, us, metric] for up_to, us, metric in rows]
            for dimension, rows in sizes.items()
        },
        "scales": {unit: display.scale(unit) for unit in sorted(names)},
        "gauge": display.GAUGE,
    }
