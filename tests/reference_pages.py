"""The reference pages of docs/ that are made of the program: command line, verdicts, units, evidence, figures to read."""

from __future__ import annotations

import argparse
import csv
import re
from pathlib import Path

from markdown_pages import cell, page, table

from rigmargin import arguments
from rigmargin.judge.finding import EXIT, VERDICTS
from rigmargin.report.meaning import NOT_MEANT
from rigmargin.report.regional import neutral
from rigmargin.report.words import VERDICT_WORDS
from rigmargin.spec import units
from rigmargin.start import questions

TOP = Path(__file__).parent.parent
LOADS = TOP / "src" / "rigmargin" / "loads"


def command_line() -> str:
    """docs/command-line.md: every command with its arguments and exit codes."""
    whole = arguments.parser()
    commands = next(each for each in whole._actions if isinstance(each, argparse._SubParsersAction))
    about = {each.dest: each.help or "" for each in commands._choices_actions}
    lines = table(("command", "does"), [(f"[`{name}`](#{name})", cell(about[name])) for name in commands.choices])
    for name, command in commands.choices.items():
        own = "" if command.epilog == whole.epilog else _sentence(" ".join((command.epilog or "").split()))
        lines += ["", f"## {name}", "", f"`{_usage(name, command)}`", "", f"{_sentence(about[name])} {own}".rstrip()]
        rows = [(_names(each), cell((each.help or "").replace("%%", "%"))) for each in command._actions if each.dest != "help"]
        lines += ["", *table(("argument", "what it is"), rows)]
    return page(
        "Command line",
        "`src/rigmargin/arguments.py`",
        "`rigmargin COMMAND --help` prints the same on a terminal. Exit codes are "
        "[those of the verdicts](verdicts.md#exit-codes) where a command says nothing else.",
        *lines,
    )


def _usage(name: str, command: argparse.ArgumentParser) -> str:
    if command.usage:
        return command.usage
    parts = [f"rigmargin {name}"]
    for each in command._actions:
        if not each.option_strings:
            word = str(each.metavar) + ("…" if each.nargs in ("+", "*") else "")
            parts.append(f"[{word}]" if each.nargs in ("?", "*") else word)
        elif each.required:
            parts.append(f"{each.option_strings[0]} {each.metavar}")
    return " ".join((*parts, "[options]"))


def _names(each: argparse.Action) -> str:
    takes = "" if each.nargs == 0 else f" {each.metavar or '|'.join(map(str, each.choices or ()))}"
    return f"`{', '.join(each.option_strings)}{takes}`".replace("|", "\\|") if each.option_strings else f"`{each.metavar}`"


def _sentence(text: str) -> str:
    """With a capital and a full stop, where there is text at all."""
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}" if text else ""


def verdicts() -> str:
    """docs/verdicts.md: each verdict's word, mark, meaning, name in JSON and exit code. Meanings are the read me's."""
    readme = (TOP / "README.md").read_text("utf-8")
    means = {word: text for _, word, text in re.findall(r"^\| (\S+) \| ([a-z ]+) \| (.+) \|$", readme, re.MULTILINE)}
    words = [(verdict, *VERDICT_WORDS[verdict]) for verdict in VERDICTS]
    rows = [(mark, word, means[word], f"`{verdict}`", str(EXIT[verdict])) for verdict, word, mark in words]
    misread = [(VERDICT_WORDS[verdict][0], cell(neutral(NOT_MEANT[verdict]))) for verdict in VERDICTS if verdict in NOT_MEANT]
    codes = re.findall(r"^\| ([0-9]) \| (.+) \|$", readme, re.MULTILINE)
    return page(
        "Verdicts and exit codes",
        "`src/rigmargin/judge/finding.py`, `src/rigmargin/report/words.py`, `src/rigmargin/report/meaning.py` and the "
        "[read me](../README.md)",
        "Worst first; a report's overall word is the worst present. Each is shown as its word and its mark, so that neither "
        "colour nor shape alone carries it. How a margin becomes a verdict stands in "
        "[the method](method.md#from-margin-to-verdict).",
        *table(("mark", "word", "means", "in JSON", "exit code"), rows),
        "",
        "## What they do not mean",
        "",
        *table(("word", "is often taken to say more than it does"), misread),
        "",
        "## Exit codes",
        "",
        *table(("exit code", "means"), codes),
        "",
        "What differs for one command stands with it in [the command line](command-line.md).",
    )


def units_page() -> str:
    """docs/units.md: every unit a rig file may use, with its factor to SI."""
    kept = {row["unit"]: row for row in _rows(TOP / "src" / "rigmargin" / "spec" / "units.csv")}
    rows = [
        (dimension, f"`{unit}`", f"{float(kept[unit]['factor']):.10g}", f"{float(kept[unit]['offset']):.10g}")
        for dimension, names in units.UNITS.items()
        for unit in names
    ]
    return page(
        "Units",
        "`src/rigmargin/spec/units.txt` and `src/rigmargin/spec/units.csv`",
        "A quantity is a number, one space and a unit of this list; feet and inches may stand together (`4 ft 6 in`). Inside, "
        "everything is SI: kg, m, Pa, m³, m/s, N, K, N/m, m² and plain shares. A value times the factor, plus the offset, is "
        "the SI value. The definitions are those of NIST Special Publication 811 (2008), appendix B.8. A bare `ton` is in no "
        "list: it means 1000, 907 or 1016 kg, depending on the country.",
        *table(("what", "unit", "factor to SI", "offset"), rows),
    )


def evidence() -> str:
    """docs/evidence.md: how well each kind of figure is taken to be known, and the liquids."""
    kinds = [
        (f"`{row['source']}`", _known_to(row), row["rank"] or "–", cell(row["mark"]), cell(row["basis"]))
        for row in _rows(LOADS / "evidence.csv")
    ]
    liquids = [
        (f"`{row['holds']}`", row["kg_per_litre"], f"{row['low']} to {row['high']}", cell(row["mark"]), cell(row["source"]))
        for row in _rows(LOADS / "liquids.csv")
    ]
    return page(
        "Evidence",
        "`src/rigmargin/loads/evidence.csv` and `src/rigmargin/loads/liquids.csv`",
        "How well a figure of each kind is taken to be known where it states no `plus_or_minus` of its own. "
        "[Settings](settings.md) may change the percentages, and the report then says so. Rank 1 goes before 2 where two "
        "figures speak of one thing; rows without a rank are of models and no words for `source`.",
        *table(("kind", "known to (coverage factor 2)", "rank", "mark", "basis"), kinds),
        "",
        "## Liquids",
        "",
        *table(("holds", "kg/L", "range", "mark", "source"), liquids),
    )


def _known_to(row: dict[str, str]) -> str:
    if row["plus_or_minus_percent"]:
        return f"± {row['plus_or_minus_percent']} %"
    return f"step / √12, one standard uncertainty; a step of {row['increment']} where none is stated"


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def figures() -> str:
    """docs/figures.md: the figures that ``rigmargin start`` asks for, by the thing they are read off."""
    lines: list[str] = []
    first, section = questions.every()[0].section, None
    for question in questions.every():
        if question.aside or question.section == first:
            continue  # no figure of the rig, or none that is printed on it
        if question.section != section:
            section = question.section
            title = f"{section.name[:1].upper()}{section.name[1:]}"
            lines += [
                "",
                f"## {title}",
                "",
                f"{section.tell} {section.more}".strip(),
                "",
                *table(("what it is, and where", "the label's word", "field"), []),
            ]
        words = ", ".join(f"`{word}`" for word in question.node.get("x-synonyms", ()))
        lines.append(f"| {cell(question.node['description'])} | {words} | `{question.ask}` |")
    return page(
        "Which figure do I read where?",
        "`src/rigmargin/start/questions.yaml` and `schemas/rig.schema.json`",
        "You stand at the rig with a telephone or a pencil. This is what to read, in the order of the things it is printed on. "
        "The word on your own label may be written in the rig file as it stands where the tables list it; "
        "[the rig file](rig-file.md) has all that are accepted, those for an unloaded mass as a whole too. The same "
        "word can mean different things (a GVWR is printed on the truck and on the trailer), so mind whose it is. "
        "`rigmargin start` asks for the same in the words of your country ([a first rig by questions](start.md)), and "
        "`rigmargin check` names at the end of its answer what is still missing, and where to read it.",
        *lines[1:],
    )


def pages() -> dict[str, str]:
    """Each page by its name, with its content."""
    return {
        "command-line": command_line(), "verdicts": verdicts(), "units": units_page(), "evidence": evidence(),
        "figures": figures(),
    }  # fmt: skip
