"""The pages point at what exists, quote what is so, and never give a verdict that is nobody's to give."""

import argparse
import csv
import json
import re

import pytest
from docblocks import PAGES, TOP, blocks

from rigmargin import arguments
from rigmargin.judge.finding import EXIT, VERDICTS
from rigmargin.report.words import VERDICT_WORDS
from rigmargin.spec import schema, units

#: Whole sentences, or their ends, in which a page may use such words: to say that they are not said.
ALLOWED = (
    'rigmargin never calls a rig "safe" or "legal", and nobody should say so on its behalf.',
    "None of this is legal advice.",
    "This is not legal advice and may be out of date",
    "It is not legal advice and may be out of date.",
    "That this is no legal advice, with the days on which the sources were read.",
    "That this is no legal advice, with the days on which this place's sources were read.",
)
#: The rules of the pages, whose ids look like paths, and what stands for a name of the reader's own.
RULE_NAMES = {"club/mountain-reserve", "club/aq/trailer-brakes", "hill-club/reserve", "tables/NAME.csv"}
#: Units that look like paths: those of a rig file, and the SI units of JSON.
UNIT_NAMES = {unit for names in units.UNITS.values() for unit in names} | {"N/m", "m/s"}
each_page = pytest.mark.parametrize("page", PAGES, ids=lambda p: p.relative_to(TOP).as_posix())


def _prose(page):
    return re.sub(r"^```.*?^```$", "", page.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL)


def _anchors(page):
    """The anchors a code host makes of the headings."""
    titles = re.findall(r"^#+ (.+)$", page.read_text("utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", title.lower()).replace(" ", "-") for title in titles}


@each_page
def test_relative_links_lead_somewhere(page):
    links = [link for link in re.findall(r"\]\(([^)\s]+)\)", _prose(page)) if "://" not in link]
    for link in links:
        file, _, anchor = link.partition("#")
        target = (page.parent / file).resolve() if file else page
        assert target.exists(), link
        assert not anchor or anchor in _anchors(target), link


@each_page
def test_files_named_in_code_marks_exist(page):
    """A path of the repository in code marks; short names of modules count from the package."""
    made = {match for block in blocks(page) for match in re.findall(r"# (?:file|append to): (\S+)", block.text)}
    spans = re.findall(r"`([\w./-]+/[\w.-]*|[\w-]+\.(?:py|md|csv|yaml|json))`", _prose(page))
    homes = [page.parent, TOP, TOP / "src", TOP / "src" / "rigmargin", TOP / "docs", TOP / "tests"]
    ours = {
        "report.html",
        "my-rig.html",
        "my-rig.md",
        "my-rig.json",
        "places.html",
        "changes.md",
        "_helper.py",
        "rigmargin.yaml",
        "site/index.html",
    }
    ours |= {"index.html", "index.md", "rows.jsonl", "findings.csv", "summary.json"}  # a batch writes these
    written = made | ours | RULE_NAMES | UNIT_NAMES | {span for span in spans if span.startswith("law/")}  # ids of rules
    absent = [span for span in spans if span not in written and not any((home / span).exists() for home in homes)]
    assert absent == []


@each_page
def test_commands_named_in_code_marks_are_taken(page):
    """``rigmargin COMMAND --option`` in a sentence or a table: there is such a command, and it has such options."""
    whole = arguments.parser()
    commands = next(each for each in whole._actions if isinstance(each, argparse._SubParsersAction)).choices
    wrong = []
    for span in re.findall(r"`rigmargin ([a-z-][^`]*)`", _prose(page)):
        name, *rest = span.split(" -- ")[0].split()
        known = (
            whole._option_string_actions if name.startswith("-") else getattr(commands.get(name), "_option_string_actions", {})
        )
        options = [word for word in (name, *rest) if word.startswith("--")]
        if not known or not set(options) <= set(known):
            wrong.append(span)
    assert wrong == []


@each_page
def test_no_page_calls_anything_safe_or_legal(page):
    text = " ".join(page.read_text("utf-8").split())
    for sentence in ALLOWED:
        text = text.replace(sentence, "")
    assert re.findall(r"[^.]*\b(?:safe|safely|legal|legally|lawful|roadworthy)\b[^.]*", text, re.IGNORECASE) == []


def test_every_allowed_sentence_is_used():
    everything = " ".join(" ".join(page.read_text("utf-8").split()) for page in PAGES)
    assert all(sentence in everything for sentence in ALLOWED)


def test_readme_says_every_verdict_word_with_its_mark_and_in_order():
    rows = re.findall(r"^\| (\S+) \| ([a-z ]+) \| .+ \|$", (TOP / "README.md").read_text("utf-8"), re.MULTILINE)
    assert [(word, mark) for mark, word in rows if mark != "mark"] == [VERDICT_WORDS[verdict] for verdict in VERDICTS]


def test_readme_names_every_command():
    commands = next(each for each in arguments.parser()._actions if isinstance(each, argparse._SubParsersAction)).choices
    named = re.findall(r"^\| `rigmargin ([a-z-]+)", (TOP / "README.md").read_text("utf-8"), re.MULTILINE)
    assert set(named) == set(commands)


def test_readme_says_every_exit_code():
    rows = re.findall(r"^\| ([0-9]) \| .+ \|$", (TOP / "README.md").read_text("utf-8"), re.MULTILINE)
    assert rows == ["0", "1", "2", "3", "4", "5"]
    assert {str(code) for code in EXIT.values()} | {"2", "4"} == set(rows)


def _table(page, heading):
    """The rows of the first table below a row that begins with ``heading``."""
    text = (TOP / "docs" / page).read_text("utf-8")
    body = text.split(f"| {heading} |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in body]


def _csv(path):
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_method_states_the_conventions_in_force():
    stated = {row[0].strip("`"): row for row in _table("method.md", "source")}
    kept = {row["source"]: row for row in _csv(TOP / "src" / "rigmargin" / "loads" / "evidence.csv")}
    assert set(stated) == set(kept)
    for source, row in kept.items():
        percent, mark = row["plus_or_minus_percent"], row["mark"]
        assert stated[source][1] == f"{percent} %" if percent else "step / sqrt(12)" in stated[source][1], source
        assert mark.split(":")[0] in stated[source][2], source


def test_method_states_the_densities_in_force():
    stated = {name.strip("` "): row[1] for row in _table("method.md", "liquid") for name in row[0].split(",")}
    kept = {row["holds"]: row["kg_per_litre"] for row in _csv(TOP / "src" / "rigmargin" / "loads" / "liquids.csv")}
    assert {name: float(value) for name, value in stated.items()} == {name: float(value) for name, value in kept.items()}


def test_json_page_quotes_a_real_report():
    text = (TOP / "docs" / "json-report.md").read_text("utf-8")
    quoted = re.search(r"<!-- from: (\S+) -->\n```json\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert quoted
    assert _differs(json.loads(quoted[2]), json.loads((TOP / quoted[1]).read_text("utf-8")), "") == []


def _differs(part, whole, path):
    """Where ``part`` says what ``whole`` does not; a part may leave out fields, and entries of a list."""
    if isinstance(part, dict):
        return [d for key, value in part.items() for d in _differs(value, whole.get(key), f"{path}.{key}")]
    if isinstance(part, list) and part and isinstance(whole, list):
        return [f"{path}: {item}" for item in part if all(_differs(item, other, path) for other in whole)]
    return [] if part == whole else [f"{path}: {part!r} is {whole!r}"]


def test_comparison_of_a_quotation_with_the_whole_finds_what_differs():
    assert _differs({"a": [{"b": 1}]}, {"a": [{"b": 2}, {"b": 1, "c": 3}], "d": 4}, "") == []
    assert _differs({"a": [{"b": 5}]}, {"a": [{"b": 2}]}, "")
    assert _differs({"a": []}, {"a": [1]}, "")
    assert _differs({"x": 1}, {"y": 1}, "")


def test_json_page_describes_every_field_and_verdict():
    text = (TOP / "docs" / "json-report.md").read_text("utf-8")
    report = schema.load("report.schema.json")
    fields = set(report["properties"]) | {name for kind in ("load", "finding") for name in report["$defs"][kind]["properties"]}
    assert [name for name in sorted(fields | set(VERDICTS)) if f"`{name}`" not in text] == []
