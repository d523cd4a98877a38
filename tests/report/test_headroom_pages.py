"""Headroom as people and machines read it."""

import io
import json
import re
from pathlib import Path

import html5lib
import jsonschema
import pytest
import schemas
from markdown_it import MarkdownIt
from rich.console import Console
from rigs import rig

from rigmargin import cli
from rigmargin.advice.headroom import headroom
from rigmargin.judge.finding import VERDICTS
from rigmargin.judge.run import judge
from rigmargin.report import headroom as pages
from rigmargin.report.regional import neutral
from rigmargin.spec import schema
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
SCHEMA = schema.load("headroom.schema.json")
POUND = 0.45359237  # kg, by definition
EXAMPLE = Path(__file__).parents[2] / "specs_examples" / "birch-hollow-travel-trailer.yaml"


@pytest.fixture(scope="module")
def room():
    return headroom(judge(load(EXAMPLE)))


def test_terminal_fits_eighty_columns(room):
    out = io.StringIO()
    pages.show(pages.view(room), Console(file=out, width=80, highlight=False, markup=False))
    text = out.getvalue()
    assert max(map(len, text.splitlines())) <= 80
    for words in ("may still be added", "Heaviest trailer", "To clear:", "Take 177 lb away at bed (tow vehicle)"):
        assert words in " ".join(text.split())


def test_every_form_says_the_same(room):
    shown = pages.view(room)
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(room, "rig"))
    page = " ".join("".join(html.itertext()).split())
    markdown = pages.markdown(room, "rig")
    for cure in shown.cures:
        for change, other in cure.ways:
            assert f"{change}: {other}." in page
            assert change.split(" from ")[0] in markdown
    data = json.loads(pages.json(room, "rig"))
    assert [c["mass"] for c in data["heaviest_trailer"]] == sorted(c["mass"] for c in data["heaviest_trailer"])
    assert len(data["rooms"]) == len(room.rooms)


def test_what_may_be_added_is_rounded_down_and_what_must_go_is_rounded_up(room):
    shown = pages.view(room)
    rows = {spot: row for row in shown.rooms for spot in row.where.split(", ")}
    looked = 0
    for one in room.rooms:
        row = rows[f"{one.spot.name} ({neutral(pages.VEHICLES[one.spot.vehicle])})"]
        pounds = float(row.may_add.removesuffix(" lb"))
        assert one.may_add / POUND - 1 < pounds <= one.may_add / POUND + 1e-6
        looked += pounds > 0
    assert looked >= 2
    for ceiling, (mass, _) in zip(room.ceilings, shown.ceilings, strict=True):
        assert ceiling.mass / POUND - 1 < float(mass.removesuffix(" lb")) <= ceiling.mass / POUND + 1e-6
    for cure, plain in zip(room.cures, shown.cures, strict=True):
        for way, (text, _) in zip((*cure.removals, *cure.moves), plain.ways, strict=True):
            assert way.mass / POUND - 1e-6 <= float(text.split()[1]) < way.mass / POUND + 1


def test_machines_get_the_same_rounding_to_a_tenth_of_a_kilogram(room):
    data = json.loads(pages.json(room, "rig"))
    for one, row in zip(room.rooms, data["rooms"], strict=True):
        assert one.may_add - 0.1 < row["may_add"] <= one.may_add + 1e-6
    for ceiling, row in zip(room.ceilings, data["heaviest_trailer"], strict=True):
        assert ceiling.mass - 0.1 < row["mass"] <= ceiling.mass + 1e-6
    for cure, said in zip(room.cures, data["cures"], strict=True):
        for way, row in zip((*cure.removals, *cure.moves), said["ways"], strict=True):
            masses = [change["mass"] for change in row["changes"]]
            assert way.mass - 1e-6 <= -masses[0] < way.mass + 0.1
            assert len(masses) == 1 or masses[1] == -masses[0]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_json_obeys_its_schema(path):
    data = json.loads(pages.json(headroom(judge(load(path))), "rig"))
    jsonschema.validate(data, SCHEMA)
    assert data["rig"]["file"] == path.name
    assert bool(data["heaviest_trailer_needs"]) <= (not data["heaviest_trailer"])


def test_the_schema_is_valid_and_describes_every_field():
    schemas.hold(SCHEMA, wrong={"headroom": 1, "rooms": [{"may_add": -1}]})
    assert SCHEMA["$defs"]["verdict"]["enum"] == list(VERDICTS)


def test_both_units(room):
    shown = pages.view(room, "both")
    for row in shown.rooms:
        pounds, kilograms = re.fullmatch(r"(\d+) lb \((\d+) kg\)", row.may_add).groups()
        assert int(kilograms) <= (int(pounds) + 1) * POUND
    assert re.match(r"Take \d+ lb \(\d+ kg\) away at ", shown.cures[0].ways[0][0])
    assert re.match(r"\d+ kg", pages.view(room, "metric").rooms[0].may_add)


def test_hostile_names_stay_text(hostile):
    """Every name of the hostile rig is shown: its places, parts and the rig's own."""
    room = headroom(hostile)
    shown = pages.view(room)
    assert shown.rooms
    assert shown.cures
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(room, "rig"))
    tags = {e.tag for e in html.iter() if isinstance(e.tag, str)}
    assert tags <= {
        "html", "head", "meta", "title", "style", "body", "header", "main", "section", "footer", "h1", "h2", "p", "ul", "li",
        "table", "thead", "tbody", "tr", "th", "td",
    }  # fmt: skip
    assert not any(name.startswith("on") or name in ("href", "src") for e in html.iter() for name in e.attrib)
    assert html.find(".//h1").text == shown.name


def test_hostile_names_stay_text_on_a_code_host(hostile):
    room = headroom(hostile)
    text = pages.markdown(room, "rig")
    rendered = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(text)
    parsed = html5lib.parse(f"<!doctype html><title>x</title>{rendered}", namespaceHTMLElements=False)
    assert {e.tag for e in parsed.iter() if isinstance(e.tag, str)} <= {
        "html", "head", "title", "body", "h1", "h2", "p", "ul", "li", "table", "thead", "tbody", "tr", "th", "td",
    }  # fmt: skip
    assert "".join(parsed.find(".//h1").itertext()) == f"Headroom: {' '.join(pages.view(room).name.split())}"
    open_ = re.sub(r"&#[0-9]+;", "", text)  # a character reference opens nothing
    assert [bad for bad in ("http://", "www.example", "@someone", "#12", ":smile:", "<script", "<img") if bad in open_] == []
    rows = [line for line in text.splitlines() if line.startswith("|")]
    assert rows
    assert {line.count("|") for line in rows} <= {3, 4}, "a table row of two or three cells"


def test_hostile_names_leave_the_terminal_alone(hostile):
    out = io.StringIO()
    pages.show(pages.view(headroom(hostile)), Console(file=out, width=80, highlight=False, markup=False))
    assert not any((ord(c) < 32 and c != "\n") or 0x202A <= ord(c) <= 0x202E for c in out.getvalue())


def test_a_full_tank_and_a_used_up_limit_are_said(room):
    rows = pages.view(room).rooms
    assert [row.stops for row in rows if row.where.startswith("fresh water")] == [
        "The tank is full; no limit that is known is reached"
    ]
    assert {row.note for row in rows if row.may_add == "0 lb"} == {"already passed"}


def test_what_is_not_known_is_said():
    shown = pages.view(headroom(judge(load(EXAMPLE.with_name("misty-lane-thin.yaml")))))
    assert shown.rooms == ()
    assert shown.no_spot.startswith("The file names no station")
    assert shown.no_ceiling == "Not known yet: weigh the rig coupled, weigh the tow vehicle alone."
    for form in (pages.html, pages.markdown):
        text = form(headroom(judge(load(EXAMPLE.with_name("misty-lane-thin.yaml")))), "rig")
        assert "there is no spot to add to" in text
        assert "weigh the tow vehicle alone" in text
    bare = pages.view(headroom(judge(rig(tow_vehicle={"stations": {"boot": "-0.5 m"}}))))
    assert [(row.may_add, row.stops) for row in bare.rooms] == [("not known", "no limit that is known stops it")]


def test_what_a_change_does_to_other_limits_is_said():
    shown = pages.view(headroom(judge(load(EXAMPLE.with_name("alder-creek-fifth-wheel.yaml")))))
    effects = {effect for cure in shown.cures for _, effect in cure.ways}
    assert "also clears the loaded tow vehicle against its GVWR" in effects
    assert any(effect.startswith("but leaves too close to tell the sum of people, cargo") for effect in effects)


def test_every_verdict_after_a_change_has_words():
    compared = set(VERDICTS) - {"unmet", "rule_failed", "conflict", "note", "not_applicable"}  # these compare no load
    assert compared == {*pages.EFFECTS, *pages.FAILING}


def test_the_command(tmp_path, capsys):
    assert cli.main(["headroom", str(EXAMPLE)]) == 1
    assert "To clear:" in capsys.readouterr().out
    for ending in (".html", ".md", ".json"):
        assert cli.main(["headroom", str(EXAMPLE), "--to", str(tmp_path / f"h{ending}")]) == 1
        assert (tmp_path / f"h{ending}").stat().st_size > 500
    assert cli.main(["headroom", str(EXAMPLE), "--to", str(tmp_path / "h.docx")]) == 2
    assert cli.main(["headroom", str(tmp_path / "none.yaml")]) == 4
