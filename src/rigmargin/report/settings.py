"""What is settled, as a table: each value, and where it came from. The terminal and the written forms only place it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rigmargin import __version__
from rigmargin.report.by_settings import usual
from rigmargin.report.forms import forms
from rigmargin.spec import schema
from rigmargin.spec.problem import printable
from rigmargin.spec.settings import DEFAULT, Acceptance, Folder, Settings

if TYPE_CHECKING:
    from rich.console import Console

NAMES = 32  # the width of the longest of our own names


@dataclass(frozen=True, slots=True)
class Row:
    """One value."""

    name: str
    value: str
    origin: str  # such as "rigmargin.yaml:3", "RIGMARGIN_UNITS", "--units" or "default"


@dataclass(frozen=True, slots=True)
class SettingsView:
    """The whole answer."""

    headline: str
    rows: tuple[Row, ...]
    version: str


def view(settings: Settings, system: str = "rig") -> SettingsView:
    """Every value with its origin; ``system`` is one of them, and changes nothing else."""
    return SettingsView(printable(_headline(settings)), tuple(_rows(settings)), __version__)


def _headline(settings: Settings) -> str:
    if not settings.file:
        return "No settings file counts here."
    which = "the nearest" if settings.named == DEFAULT else f"named by {settings.named}"
    return f"The settings file is {settings.file} ({which})."


def _rows(settings: Settings) -> Iterator[Row]:
    yield Row("places", ", ".join(settings.places) or "those of each rig", str(settings.origin("places")))
    yield Row("units", settings.units, str(settings.origin("units")))
    yield Row("words", settings.words, str(settings.origin("words")))
    yield from (Row("rules", printable(_folder(each)), printable(each.origin)) for each in settings.rules)
    if not settings.rules:
        yield Row("rules", "no folder", str(DEFAULT))
    for key, figure in settings.reserve.items():
        yield Row(printable(f"reserve.{key}"), figure.text, printable(figure.origin))
    if not settings.reserve:
        yield Row("reserve", "none", str(DEFAULT))
    for name in schema.load(schema.SETTINGS)["properties"]["evidence"]["properties"]:
        own = settings.evidence.get(name)
        yield Row(f"evidence.{name}", own.text if own else usual(name), printable(own.origin if own else DEFAULT))
    for i, each in enumerate(settings.exceptions):
        yield Row(f"exceptions[{i}]", printable(_exception(each)), printable(each.origin))
    if not settings.exceptions:
        yield Row("exceptions", "none", str(DEFAULT))


def _folder(folder: Folder) -> str:
    return f"{folder.name} ({'its Python runs' if folder.runs else 'its Python is not run'})"


def _exception(each: Acceptance) -> str:
    what = " ".join(filter(None, (each.rule, each.subject, each.state)))
    return f"{each.rig}: {what}, until {each.until} by {each.by}: {each.reason}"


def show(view_: SettingsView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.table import Table
    from rich.text import Text

    console.print(Text(view_.headline, style="bold"), soft_wrap=True)
    grid = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    for name, width in (("setting", NAMES), ("value", None), ("from", None)):
        grid.add_column(name, overflow="fold", min_width=width)
    for row in view_.rows:
        grid.add_row(Text(row.name), Text(row.value), Text(row.origin))
    console.print(grid)


def _document(settings: Settings) -> dict[str, Any]:
    return {
        "settings": 1,
        "rigmargin": __version__,
        "file": settings.file or None,
        "named_by": None if settings.named == DEFAULT else str(settings.named),
        "values": [{"name": row.name, "value": row.value, "from": row.origin} for row in _rows(settings)],
    }


html, markdown, json = forms("settings", view, _document)
