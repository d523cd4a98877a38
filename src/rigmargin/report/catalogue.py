"""The rules themselves, as a person looks them up: a table, one in full, and the reference page of the docs."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import TYPE_CHECKING

from rigmargin.judge.rule import Rule
from rigmargin.report.regional import neutral

if TYPE_CHECKING:
    from rich.console import Console

    from rigmargin.judge.plugins import Ruleset


def needs(rule: Rule) -> list[tuple[str, bool]]:
    """The facts a rule needs, each with whether it can do without it; a subject's own as ``<subject>.field``."""
    found: dict[str, bool] = {}
    for pattern, own in rule.each.items():
        for parameter, fact in {**rule.needs, **own}.items():
            path = pattern + fact.rstrip(".") if fact.startswith(".") else fact
            found[path] = found.get(path, True) and parameter in rule.optional
    return sorted(found.items())


def sections(rule: Rule) -> list[tuple[str, str]]:
    """What the reference says of a rule, under its fixed headings, in the words of no region."""
    rule = neutral(rule)
    listed = "; ".join(f"{path}{' (if known)' if optional else ''}" for path, optional in needs(rule))
    replaces = [("Replaces", f"{rule.replaces}, which is not run")] if rule.replaces else []
    return [
        ("What it checks", " ".join(rule.what.split())),
        ("Why it matters", rule.why),
        ("Needs", listed),
        ("Basis", rule.basis),
        ("Example", rule.example),
        ("When it does not apply", rule.unless),
        *replaces,
        ("Comes from", rule.origin),
    ]


def plain(rule: Rule) -> str:
    """One rule in full, for a terminal."""
    import textwrap

    parts = [f"{rule.id}: {neutral(rule.title)}"]
    for heading, text in sections(rule):
        parts.append(f"{heading}\n{textwrap.fill(text, 76, initial_indent='  ', subsequent_indent='  ')}")
    return "\n\n".join(parts)


def table(ruleset: Ruleset, console: Console) -> None:
    """Print every rule's id, title and origin, and what is switched off."""
    from rich.table import Table
    from rich.text import Text

    grid = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for name in ("rule", "what must be so", "comes from"):
        grid.add_column(name, overflow="fold")
    for rule in (*ruleset.rules, *ruleset.of_law(outside=True)):
        replaces = f" (replaces {rule.replaces})" if rule.replaces else ""
        grid.add_row(Text(rule.id), Text(f"{neutral(rule.title)}{replaces}"), Text(rule.origin))
    console.print(grid)
    console.print(
        Text("Regulations that come with rigmargin are listed by 'rigmargin places', and by 'rigmargin rules ID' in full.")
    )
    for old, new in ruleset.replaced:
        console.print(Text(switched_off(old, new)))


def switched_off(old: Rule, new: Rule) -> str:
    """That a rule gives way to another."""
    return f"{new.id} ({new.origin}) replaces {old.id} ({old.origin}), which is not run where it holds."


def unknown(name: str, rules: Iterable[Rule]) -> str:
    """What to say when there is no rule of that name."""
    near = difflib.get_close_matches(name, [rule.id for rule in rules], n=1, cutoff=0.4)
    hint = f"did you mean '{near[0]}'?" if near else "'rigmargin rules' lists them all"
    return f"there is no rule '{name}'; {hint}"
