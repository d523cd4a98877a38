"""What changed, as people and machines read it."""

import io
import json
import re

import html5lib
import jsonschema
import pytest
import schemas
from club_repository import ALDER, CEDAR, EXAMPLES, MISTY, QUARRY, Club
from markdown_it import MarkdownIt
from rich.console import Console

from rigmargin import cli
from rigmargin.club import changes_pages as pages
from rigmargin.club.changes import KINDS, changes
from rigmargin.club.git import repository
from rigmargin.judge import plugins
from rigmargin.report import words
from rigmargin.spec import schema
from rigmargin.spec.settings import NONE

SCHEMA = schema.load("changes.schema.json")
HOSTILE = "x`| <b> [a](b) *c* @d #1 ü\n\x1b[31m\"'&.yaml"


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    """A club in which everything happens at once."""
    club = Club(tmp_path_factory.mktemp("pages") / "club")
    club.take(ALDER, QUARRY, MISTY, CEDAR, "cedar-pass-other-truck.yaml", "birch-hollow-travel-trailer.yaml")
    club.write(HOSTILE, (EXAMPLES / ALDER).read_text("utf-8"))
    first = club.commit()
    club.change(ALDER, "gvwr: {value: 10000 lb", "gvwr: {value: 9400 lb")
    club.change(HOSTILE, "gvwr: {value: 10000 lb", "gvwr: {value: 10600 lb")
    club.change(MISTY, "gvwr", "gwvr")
    club.change(QUARRY, "rig: 1", "rig: 1  # seen")
    club.git("mv", "birch-hollow-travel-trailer.yaml", "birch.yaml")
    club.take("linden-caravan.yaml")
    second = club.commit()
    return changes(repository(club.folder), first, second, lambda _: (NONE, plugins.load()))


def _flat(text):
    return " ".join(text.split())


def _terminal(found, width=80, system="rig"):
    out = io.StringIO()
    pages.show(pages.view(found, system), Console(file=out, width=width, highlight=False, markup=False, emoji=False))
    return out.getvalue()


def test_terminal_fits_eighty_columns_and_says_what_matters(found):
    text = _terminal(found)
    assert max(len(line) for line in text.splitlines() if ".yaml" not in line and "→" not in line) <= 80
    for said in (
        "1 file can newly not be read",
        "▲ further past",
        "▲ over, -480 lb",
        "▲ over, -1080 lb",
        "cannot be read; ? not checked → cannot be read",
        "renamed, before birch-hollow-travel-trailer.yaml",
        "No verdict changed and no margin moved in quarry-bend-utility.yaml.",
        "checks lack a figure; its report lists them",
    ):
        assert said in _flat(text), said


def test_margins_are_those_of_the_scale_against_the_label(found):
    """Alder Creek weighs 4760 + 5720 = 10480 lb: 480 lb past 10000 lb, 1080 lb past 9400 lb, 120 lb below 10600 lb."""
    rows = {(rig.path, row.check): (row.what, row.was, row.is_) for rig in pages.view(found).rigs for row in rig.rows}
    gross = "The loaded tow vehicle against its GVWR"
    assert rows[ALDER, gross] == ("further past", "▲ over, -480 lb", "▲ over, -1080 lb")
    assert next(row for (path, check), row in rows.items() if path.startswith("x`") and check == gross) == (
        "cleared",
        "▲ over, -480 lb",
        "● within, 120 lb",
    )


def test_worst_first(found):
    shown = pages.view(found)
    assert [rig.status.partition(",")[0] for rig in shown.rigs][:2] == ["cannot be read", "changed"]
    assert shown.rigs[1].path == ALDER
    for rig in found.rigs:
        order = [KINDS.index(turn.kind) for turn in rig.turns]
        assert order == sorted(order)


def test_units_change_the_figures_and_not_the_list(found):
    own, metric = pages.view(found), pages.view(found, "metric")
    assert [[r.check for r in rig.rows] for rig in own.rigs] == [[r.check for r in rig.rows] for rig in metric.rigs]
    assert "-218 kg" in _flat(_terminal(found, system="metric")), "480 lb are 217.7 kg, and a margin is rounded down"


def test_every_form_says_the_same(found):
    shown, markdown = pages.view(found), pages.markdown(found, "rig")
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(found, "rig"))
    page = _flat("".join(html.itertext()))
    rendered = html5lib.parse(MarkdownIt("gfm-like", {"linkify": False}).render(markdown), namespaceHTMLElements=False)
    prose = _flat("".join(rendered.itertext()))
    looked = 0
    for rig in shown.rigs:
        for row in rig.rows:
            for said in (row.check, row.was, row.is_, row.text):
                assert _flat(said) in page and _flat(said) in prose
                looked += 1
        for problem in rig.problems:
            assert _flat(problem) in page and _flat(problem) in prose
    assert looked == 24, "six rows"


def test_names_of_files_stay_text_in_markdown_and_html(found):
    markdown = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(pages.markdown(found, "rig"))
    tags = {element.tag for element in html5lib.parse(markdown, namespaceHTMLElements=False).iter()}
    assert tags <= {"html", "head", "body", "h1", "h2", "p", "ul", "li", "table", "thead", "tbody", "tr", "th", "td"}
    plain = re.sub(r"&#[0-9]+;", "", pages.markdown(found, "rig"))
    assert not any(opening in plain for opening in ("@d", "#1", "<b>", "](", "\x1b"))
    tables = [line for line in plain.splitlines() if line.startswith("|")]
    assert {line.count("|") for line in tables} == {5}
    page = html5lib.parse(pages.html(found, "rig"), namespaceHTMLElements=False)
    assert page.find(".//h2//b") is None
    assert any("x`| <b> [a](b)" in "".join(h.itertext()) for h in page.iter("h2"))
    assert "\x1b" not in _terminal(found)


def test_json_is_held_to_its_schema(found):
    data = json.loads(pages.json(found, "rig"))
    schemas.hold(SCHEMA, {**data, "rigs": [{}]})
    jsonschema.validate(data, SCHEMA, cls=jsonschema.Draft202012Validator)
    assert data["exit_code"] == 4
    assert set(SCHEMA["$defs"]["turn"]["properties"]["kind"]["enum"]) == set(KINDS)
    assert set(SCHEMA["$defs"]["finding"]["properties"]["verdict"]["enum"]) == set(words.VERDICT_WORDS)
    assert set(SCHEMA["$defs"]["rig"]["properties"]["status"]["enum"]) == set(pages.STATUS)
    alder = next(rig for rig in data["rigs"] if rig["file"] == ALDER)
    gross = next(turn for turn in alder["turns"] if turn["rule"] == "tow-vehicle-gross")
    assert (gross["before"]["margin"], gross["after"]["margin"]) == (-217.7, -489.9), "480 and 1080 lb in kg"
    linden = next(rig for rig in data["rigs"] if rig["status"] == "added")
    assert linden["before"] is None and {turn["kind"] for turn in linden["turns"]} == {"fails", "opens"}


def test_no_path_of_this_machine_and_no_clock(found, tmp_path_factory):
    for form in (pages.json, pages.markdown, pages.html):
        assert form(found, "rig") == form(found, "rig")
        assert str(tmp_path_factory.getbasetemp()) not in form(found, "rig")
        assert "rigmargin-" not in form(found, "rig")


def test_every_kind_and_status_has_its_words():
    assert {*pages.KIND_WORDS, "fails"} == set(KINDS)
    assert set(pages.COUNTED) == set(KINDS), "each is counted in the headline"


def test_nothing_changed_is_said_so(club, capsys):
    club.take(QUARRY)
    club.commit()
    assert cli.main(["changes", "HEAD"]) == 0
    printed = capsys.readouterr()
    assert "0 rig files differ; no verdict got worse and no margin moved." in printed.out
    assert "says nothing of how a rig stands" in _flat(printed.out)
    assert printed.err == ""


def test_the_command_writes_each_form_and_takes_places_behind_the_dashes(club, capsys):
    club.take(ALDER, to="north/a.yaml")
    club.take(ALDER, to="south/a.yaml")
    club.commit()
    club.change("north/a.yaml", "value: 10000 lb", "value: 9400 lb")
    club.change("south/a.yaml", "value: 10000 lb", "value: 10600 lb")
    assert cli.main(["changes", "HEAD", "--", "south"]) == 3
    assert "north" not in capsys.readouterr().out
    for ending in (".html", ".md", ".json"):
        assert cli.main(["changes", "HEAD", "--to", f"out{ending}", "--", "north", "south/a.yaml"]) == 1
        assert (club.folder / f"out{ending}").stat().st_size > 1000
    assert json.loads((club.folder / "out.json").read_text("utf-8"))["new"] is None
    assert cli.main(["changes", "HEAD", "HEAD"]) == 0
    capsys.readouterr()
    assert cli.main(["changes", "HEAD", "--to", "out.sarif"]) == 2
    assert "ends in none of .html, .md, .json" in capsys.readouterr().err
    assert cli.main(["changes", "HEAD", "--", "nowhere"]) == 2
    assert "nothing at 'nowhere' on either side" in capsys.readouterr().err
    assert cli.main(["changes", "HEAD", "--rules", "no-folder"]) == 4


def test_a_name_that_is_no_utf8_is_shown_with_escapes(club, capsys):
    name = b"caf\xe9.yaml".decode("utf-8", "surrogateescape")
    (club.folder / name).write_bytes((EXAMPLES / ALDER).read_bytes())
    club.commit()
    (club.folder / name).write_bytes((EXAMPLES / ALDER).read_bytes().replace(b"10000 lb", b"10000"))
    for ending in (".html", ".md", ".json"):
        assert cli.main(["changes", "HEAD", "--to", f"out{ending}"]) == 4
    assert json.loads((club.folder / "out.json").read_text("utf-8"))["rigs"][0]["file"] == "caf\\xe9.yaml"
    assert cli.main(["changes", "HEAD"]) == 4
    assert "caf\\xe9.yaml" in capsys.readouterr().out


def test_a_file_that_an_option_names_and_a_revision_has_not_is_told_in_every_form(club, capsys):
    club.take(CEDAR, "cedar-pass-other-truck.yaml")
    club.write(".gitignore", "cedar-pass-other-truck.yaml\n")
    club.commit()
    club.write(CEDAR, f"# seen\n{(club.folder / CEDAR).read_text('utf-8')}")
    assert cli.main(["changes", "HEAD"]) == 0
    told = "cedar-pass-other-truck.yaml, named by options, is not in HEAD: there the options were not read."
    assert told in _flat(capsys.readouterr().out)
    for ending in (".html", ".md", ".json"):
        assert cli.main(["changes", "HEAD", "--to", f"out{ending}"]) == 0
    assert told in (club.folder / "out.html").read_text("utf-8")
    assert told in (club.folder / "out.md").read_text("utf-8")
    data = json.loads((club.folder / "out.json").read_text("utf-8"))
    jsonschema.validate(data, SCHEMA, cls=jsonschema.Draft202012Validator)
    assert data["rigs"][0]["before"]["absent"] == ["cedar-pass-other-truck.yaml"]


def test_a_margin_that_falls_below_zero_in_doubt_and_a_verdict_that_changed_otherwise_are_counted(club):
    """7050 lb less 2880 lb less 4160 lb are 10 lb, less 4180 lb -10 lb: known to 16.4. No load there is at the limit."""
    text = (
        "rig: 1\nname: a test\ntow_vehicle: {gvwr: 7050 lb}\ncoupling: {kind: weight_carrying}\ntrailer: {}\n"
        "weighings: [{state: coupled, front: 2880 lb, rear: 4160 lb, increment: 20 lb}]\n"
    )
    band = "coupling_load: {value: 100 lb, source: measured}\n"
    club.write("a.yaml", text + band)
    club.commit()
    club.write("a.yaml", (text + band.replace("100 lb", "0 lb")).replace("4160 lb", "4180 lb"))
    assert cli.main(["changes", "HEAD", "--to", "out.md"]) == 3
    said = (club.folder / "out.md").read_text("utf-8")
    assert "1 rig file differs; 1 check is newly open, 1 verdict changed otherwise." in said
    assert re.search(r"≈ newly past, in doubt \| .*GVWR.*too close to tell, 10 lb.*too close to tell, -10 lb", said)
