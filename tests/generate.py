"""Write what is generated and kept in git: the units' factors, the reference pages of docs/, the examples' expected reports.

``python tests/generate.py`` rewrites them; the tests hold them to be current.
"""

from __future__ import annotations

import csv
import io
import tempfile
from functools import cache
from pathlib import Path

import pint
import reference_pages
import schema_pages

from rigmargin.advice.places import covered
from rigmargin.club import batch, executors
from rigmargin.club.one import Job
from rigmargin.judge import plugins
from rigmargin.judge.run import judge
from rigmargin.report import catalogue, json, own_units, places
from rigmargin.report.regional import neutral
from rigmargin.spec import schema, units, words
from rigmargin.spec.rig import load

TOP = Path(__file__).parent.parent
EXAMPLES = TOP / "specs_examples"
CLUB = "kestrel-moor-club"


UNITS = TOP / "src" / "rigmargin" / "spec" / "units.csv"
#: The SI unit of each dimension in pint's words, and the units whose names pint's grammar does not allow.
SI = {
    "mass": "kilogram", "length": "meter", "pressure": "Pa", "volume": "m3", "speed": "meter / second", "force": "N",
    "temperature": "kelvin", "ratio": "dimensionless", "stiffness": "N / meter", "area": "meter ** 2",
}  # fmt: skip
PINT = {"km/h": "kmh", "%": "percent", "N/mm": "N_per_mm", "lb/in": "lbf_per_in"}


def units_table() -> str:
    """src/rigmargin/spec/units.csv: factor and offset of each unit to SI, by pint from the definitions in units.txt."""
    registry = pint.UnitRegistry(None)
    text = UNITS.with_suffix(".txt").read_text("utf-8")
    registry.load_definitions([line for line in text.splitlines() if line and not line.startswith("#")])
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\n")
    writer.writerow(("unit", "factor", "offset"))
    for dimension, names in units.UNITS.items():
        for unit in names:
            zero, one = (float(registry.Quantity(n, PINT.get(unit, unit)).to(SI[dimension]).magnitude) for n in (0.0, 1.0))
            factor, offset = (one - zero, zero) if dimension == "temperature" else (one, 0.0)
            writer.writerow((unit, repr(factor), repr(offset)))
    return table.getvalue()


def rules_page() -> str:
    """docs/rules.md: every rule under its fixed headings."""
    rules = plugins.load().rules
    lines = [
        "# Rules",
        "",
        "Generated from the rules themselves by `python tests/generate.py`. `rigmargin rules ID` prints the same on a",
        "terminal.",
        "",
    ]
    rules = [neutral(rule) for rule in rules]
    lines += [f"- [{rule.id}](#{rule.id}): {rule.title}" for rule in rules]
    for rule in rules:
        lines += ["", f"## {rule.id}", "", f"**{rule.title}.**"]
        for heading, text in catalogue.sections(rule):
            if heading != "Comes from":
                shown = "; ".join(f"`{part}`" for part in text.split("; ")) if heading == "Needs" else text
                lines += ["", f"*{heading}.* {shown}"]
    return "\n".join(lines) + "\n"


def places_page() -> str:
    """docs/places.md: the law on file, by place and topic, and what is not on file."""
    answer = places.view(covered(plugins.load()))
    lines = [
        "# Places",
        "",
        f"**{answer.caution}**",
        "",
        "Generated from the regulation files by `python tests/generate.py`. `rigmargin places` prints the same on a terminal,",
        "and [`rigmargin places --rig FILE us-fl us-tx`](local-rules.md#several-places-at-once) what each asks of one rig.",
        "A place that is not here, and a topic that a place does not list, is not covered: that is no sign that the law asks",
        "nothing. Ask the authority that is named.",
        "",
    ]
    lines += [f"- [{one.heading}](#{one.heading.lower().translate(SLUG)})" for one in answer.places]
    for one in answer.places:
        lines += ["", f"## {one.heading}", ""]
        if one.rows:
            lines += ["| topic | asks | source, and when it was read | rule |", "|---|---|---|---|"]
            lines += [f"| {row.topic} | {_md(row.asks)} | {_md(row.basis)} | `{row.rule}` |" for row in one.rows] + [""]
        lines += [paragraph for line in one.lines for paragraph in (_md(line), "")] + [one.caution]
    return "\n".join(lines) + "\n"


#: How a code host makes the anchor of a heading: punctuation goes, a blank becomes a hyphen.
SLUG = str.maketrans({**dict.fromkeys("(),.'"), " ": "-"})


def _md(text: str) -> str:
    return text.replace("|", "\\|").replace("*", "\\*").replace("<", "&lt;")


def rig_file_page() -> str:
    """docs/rig-file.md: every field of the rig file."""
    lines = [
        "# The rig file",
        "",
        "Generated from `schemas/rig.schema.json` by `python tests/generate.py`. An editor with a YAML language server shows",
        "the same as help and completion when the file's first line is `# yaml-language-server: $schema=` followed by the",
        "schema's path.",
        "",
        "A quantity is a number, one space and a unit: `9900 lb`, `3.1 t`, `80 psi`, `158 in`, `4 ft 6 in`. No thousands",
        "marks, no decimal comma, no bare number, no bare `ton`. It may also be a mapping that says where it comes from:",
        "`{value: 10000 lb, source: certification_label, read_on: 2026-05-02, ref: photo 3, plus_or_minus: 20 lb}`. In the",
        "tables `*` stands for a name of your choice and `[]` for an entry of a list.",
    ]
    section = ""
    fields = schema.catalogue()
    for path, node in fields.items():
        parent, _, last = path.rpartition(".")
        if last in schema.ABOUT and "x-dimension" in fields.get(parent, {}):
            continue  # said once above, of every quantity
        top = path.split(".")[0].split("[")[0]
        if top != section:
            section = top
            lines += ["", f"## {top}", "", "| field | what it is | takes | also accepted |", "|---|---|---|---|"]
        synonyms = ", ".join(f"`{word}`" for word in node.get("x-synonyms", ()))
        lines.append(f"| `{path}` | {node.get('description', '')} | {_takes(node)} | {synonyms} |")
    return "\n".join(lines) + "\n"


def _takes(node: schema.Schema) -> str:
    if "x-dimension" in node:
        low, high = node.get("x-range", (None, None))
        span = f", {low} to {high}" if low else ""
        rows = ", or one for each use" if node.get("x-by-use") else ""
        return f"{node['x-dimension']}{span}{rows}"
    if "enum" in node:
        return " or ".join(f"`{word}`" for word in node["enum"])
    if "const" in node:
        return f"`{node['const']}`"
    kind = node.get("type", "text")
    kinds = kind if isinstance(kind, list) else [kind]
    names = {"string": "text", "object": "mapping", "array": "list", "integer": "whole number"}
    return " or ".join(names.get(k, k) for k in kinds)


WORDS_HEAD = """\
# Words and units by region

Generated from `src/rigmargin/spec/words.csv` and `src/rigmargin/spec/unit_habits.csv` by `python tests/generate.py`.

A report speaks in the words of the first of the rig's `places`: a rig of `[gb, de]` in British ones, one without a place in
those of no region. `--words gb`, the setting `words` or the variable `RIGMARGIN_WORDS` ask for those of a region whatever the
place, `--words neutral` for those of none; `rigmargin rules`, which speaks of no rig, is always in those. Rule ids, field names
and paths are the same in all words, and the owner's own label word stands in brackets beside the region's where the two differ.
Under a report stands what its regional words mean. Law speaks in its own words. `start` asks in the same words, and writes the
label word where the rig file knows it ([the rig file](rig-file.md) lists all that it knows). Where a figure is printed is told
of the region's own labels and papers too (the terms that begin with `at_`).

How well it is known that a word is used so stands beside it: *verified* in a source that was read, *second hand*, *common
practice*, or from *memory* only. None of these words changes a figure or a verdict.

Units are those of the rig file, for masses, lengths, pressures, speeds and volumes each by itself. Where a file states none,
the region's habit decides (second table); `--units` overrides both.

## Words
"""


def words_page() -> str:
    """docs/words.md: the regional words and the habits in units, with their sources."""
    lines = [WORDS_HEAD, "| neutral | where | words | written out, and in a rig file | known by |", "|---|---|---|---|---|"]
    lines += [_word_line(word) for said in words.every().values() for word in said if words.NEUTRAL not in word.regions]
    lines += ["", "## Units, where a file states none", "", "| where | of | unit | known by |", "|---|---|---|---|"]
    for row in own_units.rows():
        unit = row["units"].replace(" ", " and ")
        lines.append(f"| {row['region']} | {row['dimension']} | {unit} | {row['mark']}: {row['source']} |")
    return "\n".join(lines) + "\n"


def _word_line(word: words.Word) -> str:
    when = "".join(f", where `{c.path}` is {'not ' if c.negated else ''}{' or '.join(c.words)}" for c in word.when)
    long = word.long if word.long != word.one else ""
    written = "; ".join(filter(None, (long, f"`{word.label}`" if word.label else "")))
    plain = f"{words.neutral(word.term).one} (`{word.term}`)"
    return f"| {plain} | {', '.join(word.regions)}{when} | {word.one} | {written} | {word.mark}: {word.source} |"


def expected_reports() -> dict[Path, str]:
    """The JSON report each example must give."""
    return {path.with_suffix(".expected.json"): json.render(judge(load(path))) for path in sorted(EXAMPLES.glob("*.yaml"))}


def club_pages() -> dict[Path, str]:
    """docs/examples/kestrel-moor-club/: the index of the club's rigs, and each rig's report as Markdown."""
    target = TOP / "docs" / "examples" / CLUB
    with tempfile.TemporaryDirectory() as work:
        out = Path(work, "out")
        batch.run(Job(str(EXAMPLES / CLUB), (".md",), False, "rig", False, ()), out, executors.local(1))
        pages = [out / "index.html", out / "index.md", *sorted((out / "rigs").rglob("*.md"))]
        return {target / page.relative_to(out): page.read_text("utf-8") for page in pages}


@cache
def everything() -> dict[Path, str]:
    """Every generated file with its content."""
    docs = TOP / "docs"
    made = {"rules": rules_page(), "rig-file": rig_file_page(), "places": places_page(), "words": words_page()}
    made |= reference_pages.pages() | schema_pages.pages()
    pages = {docs / f"{name}.md": text for name, text in made.items()}
    return {UNITS: units_table(), **pages, **expected_reports(), **club_pages()}


if __name__ == "__main__":
    UNITS.write_text(units_table(), "utf-8")  # before the reports, which are made with it
    for target, text in everything().items():
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, "utf-8")
        print(target.relative_to(TOP))
