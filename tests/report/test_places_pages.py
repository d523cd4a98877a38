"""Places as people and machines read them: every form says that it is no advice, when it was read, and what is not on file."""

import io
import itertools
import json
import re
from pathlib import Path

import html5lib
import jsonschema
import pytest
from markdown_it import MarkdownIt
from rich.console import Console
from rigs import rig

from rigmargin import cli
from rigmargin.advice.places import asked, covered
from rigmargin.judge import plugins
from rigmargin.report import places as pages
from rigmargin.report.regional import regional, said
from rigmargin.spec import schema
from rigmargin.spec.rig import load

TOP = Path(__file__).parents[2]
SCHEMA = schema.load("places.schema.json")
EXAMPLE = TOP / "specs_examples" / "quarry-bend-utility.yaml"
COUNTY = """\
regulations: 1
place: aq
name: Millrace County <b>
authority: "the road | department"
read_on: 2026-03-14
status: statute
note: "[Ask](http://example.com) first."
rules:
  bridge:
    title: The bridge
    topic: other
    citation: "Ordinance *12*"
    require: {compare: {this: {mass: combination, basis: actual}, at_most: 1 t}}
    asks: "no more than 1 t <script>alert(1)</script>"
    cases: {light: {given: {mass combination actual: 1 t}, verdict: at_limit}}
"""


@pytest.fixture(scope="module")
def county(tmp_path_factory):
    top = tmp_path_factory.mktemp("rules") / "millrace"
    top.mkdir()
    (top / "aq.yaml").write_text(COUNTY, "utf-8")
    return str(top)


@pytest.fixture(scope="module")
def ruleset(county):
    return plugins.gather(plugins.installed(), [county])


@pytest.fixture(scope="module", params=["all", "rig"])
def answer(request, ruleset):
    return covered(ruleset) if request.param == "all" else asked(load(EXAMPLE), ruleset, ["us-fl", "aq", "tf"])


def printed(answer, width=80):
    out = io.StringIO()
    pages.show(pages.view(answer), Console(file=out, width=width, highlight=False, markup=False))
    return out.getvalue()


def page(answer):
    parsed = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(answer, "rig"))
    return parsed, " ".join("".join(parsed.itertext()).split())


def rendered(answer):
    text = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(pages.markdown(answer, "rig"))
    parsed = html5lib.parse(f"<!doctype html><title>x</title>{text}", namespaceHTMLElements=False)
    return parsed, " ".join("".join(parsed.itertext()).split())


def test_every_form_says_that_it_is_no_advice_and_when_it_was_read(answer):
    coverage = getattr(answer, "coverage", answer)
    sentence = "This is not legal advice and may be out of date; read between"
    assert sentence in " ".join(printed(answer).split())
    data = json.loads(pages.json(answer, "rig"))
    assert data["caution"].startswith(sentence)
    for form in (page(answer)[1], rendered(answer)[1]):
        # once for the whole, and once for each place with its own days
        assert form.count("This is not legal advice and may be out of date") >= 1 + len(coverage.places)
        for held in coverage.places:
            if held.rules:
                assert (held.read_on[-1] if held.read_on else "not dated") in form
    for entry in data["covered"]:
        assert entry["caution"].startswith("This is not legal advice and may be out of date")
        assert all(rule["read_on"] in rule["basis"] for rule in entry["rules"])
        assert ("not dated" in entry["caution"]) == any(not rule["read_on"] for rule in entry["rules"])


def test_every_form_says_what_is_not_on_file_and_whom_to_ask(answer):
    forms = (" ".join(printed(answer, 4000).split()), page(answer)[1], rendered(answer)[1])
    coverage = getattr(answer, "coverage", answer)
    own = regional(getattr(answer, "rig", "neutral"))
    for held in coverage.places:
        told = said(pages.place(held), own).lines
        for line in told:
            assert all(" ".join(line.split()) in form for form in forms)
        text = " ".join(told)
        if not held.rules and not held.above:
            assert f"No rule at all for {held.place} is on file: ask the authority of the place." in text
        else:
            lacks = re.search(rf"No rule for (.+) in {held.place} is on file: ask {re.escape(held.authority)}\.", text)
            assert lacks or not held.lacking
            assert all(own.fill(pages.topic_words(topic)) in lacks[1] for topic in held.lacking)


def test_terminal_fits_eighty_columns(answer):
    assert max(map(len, printed(answer).splitlines())) <= 80


def test_machines_get_what_the_schema_says(answer):
    data = json.loads(pages.json(answer, "rig"))
    jsonschema.validate(data, SCHEMA)
    assert "/" not in data["rig"]["file"] if data["rig"] else True


def test_the_schema_is_a_schema_and_describes_every_field():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    kinds = [SCHEMA, *SCHEMA["$defs"].values()]
    assert all("description" in field or "$ref" in field for kind in kinds for field in kind.get("properties", {}).values())


def test_what_a_file_from_outside_says_stays_text(answer):
    for parsed, text in (page(answer), rendered(answer)):
        tags = {element.tag for element in parsed.iter() if isinstance(element.tag, str)}
        assert tags.isdisjoint({"script", "b", "a", "img", "em"})
        assert "no more than 1 t <script>alert(1)</script>" in text
        assert "[Ask](http://example.com) first." in text
        assert "Ordinance *12*" in text
    lines = pages.markdown(answer, "rig").splitlines()
    for head, line in itertools.pairwise(lines):
        if head.startswith("|") and line.startswith("|"):
            assert head.count("|") == line.count("|")


def test_a_rig_between_places_is_told_what_each_asks_and_what_asks_most(ruleset):
    """The example weighs 2286 kg in all by its tickets, which is past the bridge's 1 t."""
    shown = pages.view(asked(load(EXAMPLE), ruleset, ["us-fl", "aq", "tf"])).rig
    summary = dict(shown.summary)
    assert summary["Millrace County <b> (aq)"] == "1 over"
    assert summary["tf"] == "no rule at all is on file"
    assert ("other requirements", "aq: no more than 1 t <script>alert(1)</script>.") in shown.strictest


def test_a_rig_without_places_is_told_to_name_them(ruleset):
    nowhere = asked(rig(), ruleset)
    assert "The rig file names no place: list them under places, or name them." in " ".join(printed(nowhere).split())
    assert "names no place" in page(nowhere)[1]
    assert "names no place" in rendered(nowhere)[1]


def test_the_command_writes_every_form_and_answers_with_the_worst_verdict(county, tmp_path, capsys):
    arguments = ["places", "us-fl", "aq", "--rules", county]
    assert cli.main(arguments) == 0
    for ending in (".html", ".md", ".json"):
        target = tmp_path / f"places{ending}"
        assert cli.main([*arguments, "--rig", str(EXAMPLE), "--to", str(target)]) == 1, "over on the bridge"
        assert "not legal advice" in target.read_text("utf-8")
    assert cli.main([*arguments, "--to", str(tmp_path / "places.docx")]) == 2
    assert cli.main(["places", "--rig", str(tmp_path / "none.yaml")]) == 4
    assert cli.main(["places", "--rules", str(tmp_path / "none")]) == 4
    capsys.readouterr()
    assert cli.main(["places", "uk", "us-zz"]) == 2
    said = capsys.readouterr().err
    assert "'uk' is the code of no place; did you mean 'gb'?" in said
    assert "'us-zz' is the code of no place" in said


def test_a_broken_file_of_the_folder_is_told_and_the_rest_is_listed(tmp_path, capsys):
    (tmp_path / "club").mkdir()
    (tmp_path / "club" / "aq.yaml").write_text(COUNTY.replace("1 t}", "1,5 t}").replace("{mass: c", "{mass: c"), "utf-8")
    for more in ([], ["--rig", str(EXAMPLE)]):
        assert cli.main(["places", "us-fl", "aq", "--rules", str(tmp_path / "club"), *more]) == 5
        printed_ = capsys.readouterr()
        assert "Florida (us-fl)" in printed_.out
        assert "aq.yaml:" in printed_.err + printed_.out
