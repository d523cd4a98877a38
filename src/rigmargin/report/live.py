"""What a page gives its own script: the script itself, and what it needs to write numbers in other units."""

from __future__ import annotations

import base64
import hashlib
import importlib.resources
import math
from functools import cache
from typing import Any, NamedTuple

from rigmargin.report import display


class Script(NamedTuple):
    """A page's script, and what the page's own policy allows to run: this text and nothing else."""

    text: str
    hash: str


@cache
def script(name: str) -> Script:
    """One of the scripts beside the templates."""
    text = importlib.resources.files("rigmargin.report").joinpath("templates", name).read_text("utf-8")
    return Script(text, base64.b64encode(hashlib.sha256(text.encode()).digest()).decode())


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
