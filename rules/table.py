"""The tables of custom and of published figures in ``tables/``: CSV files whose rows each name their source."""

from __future__ import annotations

import csv
import importlib.resources
from functools import cache


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of ``tables/NAME.csv``, in order."""
    text = importlib.resources.files("rigmargin.rules").joinpath("tables", f"{name}.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))
