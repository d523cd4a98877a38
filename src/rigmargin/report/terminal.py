"""The short report on a terminal: readable at 80 columns, and without colour."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from rigmargin.judge.regulation import LOOKED_AT
from rigmargin.report import by_settings
from rigmargin.report.view import Row, View

#: Colour only repeats what word and mark already say.
STYLES = {
    "over": "bold red", "unmet": "bold red", "outside_band": "bold red", "rule_failed": "bold magenta", "conflict": "magenta",
    "too_close": "yellow", "not_checked": "yellow", "at_limit": "cyan", "within": "blue", "note": "dim",
    "not_applicable": "dim",
}  # fmt: skip


def show(view: View, console: Console) -> None:
    """Print one rig's report."""
    console.print(Text(view.name, style="bold"), soft_wrap=True)
    console.print(_headline(view))
    console.print(_table(tuple(row for row in view.judged if row.rule != LOOKED_AT)))
    for row in view.cures:
        for cure in row.cures[:1]:
            console.print(_indented(f"{row.mark} {row.label}: {cure}"))
    for row in view.rows:
        if row.locally:
            console.print(_indented(f"{row.mark} {row.text}"))
    failed = [row for row in view.rows if row.verdict == "rule_failed"]
    for row in failed:
        console.print(_indented(f"{row.mark} {row.text}"))
    if view.acts:
        console.print(Text("To learn next, what settles most first:", style="bold"))
        for number, act in enumerate(view.acts[:3], 1):
            console.print(_indented(f"{number}. {act.name}: {act.how}"))
        if len(view.acts) > 3:
            console.print(_indented(f"and {len(view.acts) - 3} more; the full report lists them."))
    if view.outside:
        console.print(Text(f"With rules from outside: {', '.join(view.outside)}.", style="dim"))
    for row in view.rows:
        if row.rule == LOOKED_AT:
            console.print(Text(row.text, style="dim"))
    by_settings.show(view.settings, console)
    console.print(Text(view.cautions[0], style="dim"))
    console.print()


def _headline(view: View) -> Text:
    text = Text(f"{view.overall_mark} {view.overall_word.upper()}  ", style=STYLES[view.overall])
    text.append(view.headline, style="default")
    return text


def _indented(text: str) -> Padding:
    return Padding(Text(text), (0, 0, 0, 2))


def _table(rows: tuple[Row, ...]) -> Table:
    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold", expand=False)
    table.add_column("verdict", no_wrap=True)
    table.add_column("check", ratio=1, overflow="fold")
    for name in ("load", "limit", "margin", "known to"):
        table.add_column(name, justify="right", overflow="fold")
    for row in rows:
        style = STYLES[row.verdict]
        numbers = [Text(value.replace(" (", "\n(")) for value in (row.load, row.limit, row.margin, row.spread)]
        table.add_row(Text(f"{row.mark} {row.word}", style=style), Text(f"{row.rule}: {row.subject}"), *numbers)
    return table
