"""A loading plan as people and machines read it."""

import dataclasses
import io
import json
import re
import sys
from pathlib import Path

import html5lib
import jsonschema
import pytest
import schemas
from markdown_it import MarkdownIt
from report.conftest import HOSTILE
from rich.console import Console

from rigmargin import cli
from rigmargin.advice import every
from rigmargin.advice.loading_plan import plan
from rigmargin.judge.finding import VERDICTS
from rigmargin.judge.run import judge
from rigmargin.report import plan as pages
from rigmargin.report import plan_json
from rigmargin.report.regional import neutral
from rigmargin.spec import schema
from rigmargin.spec.rig import load, parse

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
EXAMPLE = EXAMPLES / "thistle-ford-generator.yaml"
SCHEMA = schema.load("plan.schema.json")
POUND = 0.45359237  # kg, by definition
IMPOSSIBLE = """
rig: 1
name: Two wishes at once
places: [gb]
tow_vehicle: {max_coupling_load: 70 kg, coupling_share_band: {low: 8 %, high: 12 %}}
coupling: {kind: european_ball}
trailer:
  max_mass: 1200 kg
  coupling_to_axle_centre: 4 m
  unloaded: {coupling: 50 kg, axles: 900 kg, source: scale_ticket}
  stations: {locker: 0.5 m, over the axle: 4 m}
  load:
    awning: {mass: 40 kg, at: locker, source: measured, may_go_to: [over the axle]}
"""


@pytest.fixture(scope="module")
def made():
    return plan(judge(load(EXAMPLE)))


@pytest.fixture(scope="module")
def impossible():
    return plan(judge(parse(IMPOSSIBLE, "two.yaml")))


def altered(**words):
    """The example with some of its text exchanged."""
    text = EXAMPLE.read_text("utf-8")
    for old, new in words.values():
        assert old in text
        text = text.replace(old, new)
    return plan(judge(parse(text, "altered.yaml")))


def printed(made, units="rig"):
    out = io.StringIO()
    pages.show(pages.view(made, units), Console(file=out, width=80, highlight=False, markup=False))
    return out.getvalue()


def test_terminal_fits_eighty_columns(made, impossible):
    for answer in (made, impossible):
        assert max(map(len, printed(answer).splitlines())) <= 80
    text = " ".join(printed(made).split())
    for words in (
        "With these changes every limit that could be checked is kept, its uncertainty included.",
        "1. Move generator from front locker (trailer) to kitchen (trailer): 165 lb",
        "Left behind or drained: 0 lb. Moved or filled in: 165 lb.",
        "Every check of this rig could be made.",
        "Weigh again once it is done",
    ):
        assert words in text


def test_the_margins_are_those_of_a_hand_calculation(made):
    """40 lb too much on the coupling, 740 lb. From 36 to 160 in of 180: 165 x 124 / 180 = 113.7 lb off it: 73.7 lb remain. On
    the rear axle, 50 in ahead of it with 145 in between the axles: 113.7 x (1 + 50 / 145) = 152.9 lb off: 112.9 lb remain."""
    rows = {row.limit: row for row in pages.view(made).limits}
    coupling = rows["The tongue weight against the tow vehicle's maximum tongue weight"]
    assert coupling.today.startswith("▲ over, -40 lb ± ")
    assert coupling.then.startswith("● within, 73 lb ± ")
    rear = rows["The load on the rear axle against its GAWR"]
    assert rear.then.startswith("● within, 112 lb ± ")
    first = [row.today[0] for row in pages.view(made).limits[:4]]
    assert first == ["▲", "▲", "≈", "●"], "what fails today comes first"


def test_every_form_says_the_same(made, impossible):
    for answer in (made, impossible):
        shown = pages.view(answer)
        html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(answer, "rig"))
        page = " ".join("".join(html.itertext()).split())
        rendered = MarkdownIt("gfm-like", {"linkify": False}).render(pages.markdown(answer, "rig"))
        text = " ".join("".join(html5lib.parse(rendered, namespaceHTMLElements=False).itertext()).split())
        lines = [shown.headline, shown.answer, *shown.steps, shown.total, shown.conflict, *shown.obstacles, shown.unknown]
        lines += [part for row in shown.limits for part in (row.limit, row.today, row.then)]
        for line in [*lines, *shown.cautions]:
            assert " ".join(line.split()) in page
            assert " ".join(line.split()) in text


def test_json_obeys_its_schema_and_rounds_without_flattering(made, impossible):
    for answer in (made, impossible, *(plan(judge(load(path))) for path in sorted(EXAMPLES.glob("*.yaml"))[:3])):
        data = json.loads(pages.json(answer, "rig"))
        jsonschema.validate(data, SCHEMA)
        assert data["outcome"] == answer.outcome
    data = json.loads(pages.json(made, "rig"))
    assert data["changes"] == [
        {"item": "generator", "vehicle": "trailer", "act": "move", "to": "trailer.kitchen", "filled": None, "mass": 74.8}
    ]
    assert data["overall_then"] == "within"
    exact = {(b.today.rule, b.today.subject, b.then.margin) for b in made.limits}
    assert len(data["limits"]) == len(exact)
    for row in data["limits"]:
        assert row["then"]["verdict"] == "within"
        near = [m for rule, subject, m in exact if (rule, subject) == (row["rule"], row["subject"])]
        assert any(m - 0.1 < row["then"]["margin"] <= m + 1e-6 for m in near)
    conflict = json.loads(pages.json(impossible, "rig"))
    assert [row["rule"] for row in conflict["in_conflict"]] == ["coupling-vertical", "coupling-share"]
    assert conflict["smallest_conflict"] is True


def test_the_schema_is_valid_and_describes_every_field():
    schemas.hold(SCHEMA, wrong={"plan": 1, "outcome": "perhaps"})
    assert SCHEMA["$defs"]["verdict"]["enum"] == list(VERDICTS)


def test_both_units(made):
    assert pages.view(made, "both").steps == (
        "Move generator from front locker (trailer) to kitchen (trailer): 165 lb (75 kg)",
    )
    assert pages.view(made, "metric").total == "Left behind or drained: 0 kg. Moved or filled in: 75 kg."


def test_leaving_draining_and_filling_are_said():
    fixed = ("may_go_to: [kitchen, rear bench, tow_vehicle.bed front], may_stay_behind: 8", "note: bolted down")
    gear = (", may_go_to: [kitchen]", "")
    drained = altered(generator=fixed, gear=gear)
    (step,) = pages.view(drained).steps
    percent, pounds = re.fullmatch(r"Drain fresh water to (\d+) % of its volume: (\d+) lb out", step).groups()
    # 40 gal x 8.34 lb = 333.6 lb full, half of it aboard: rounded up, as all that must go
    out = (50 - int(percent)) / 100 * 40 * 3.785411784 * 0.999 / POUND
    assert out <= int(pounds) < out + 1
    none = altered(
        generator=("may_go_to: [kitchen, rear bench, tow_vehicle.bed front], may_stay_behind: 8", "may_stay_behind: 8"),
        gear=gear,
        tank=(", may_hold: {least: empty, most: 1/2}", ""),
    )
    assert pages.view(none).steps == ("Leave generator behind: 165 lb",)
    step = dataclasses.replace(drained.changes[0], percent=0)
    assert (
        pages.view(dataclasses.replace(drained, changes=(step,))).steps[0].startswith("Drain fresh water until it is empty: ")
    )
    step = dataclasses.replace(drained.changes[0], percent=60)
    assert (
        pages.view(dataclasses.replace(drained, changes=(step,)))
        .steps[0]
        .startswith("Fill fresh water to 60 % of its volume: ")
    )


def test_where_a_thing_comes_from_is_said_by_name_or_distance(made):
    (change,) = made.changes
    other = dataclasses.replace(change.option.item, station=None)
    shown = pages.display(made.report.rig)
    assert pages._from(change.option.item, shown) == "front locker (trailer)"
    assert pages._from(other, shown) == "where it is (trailer)"
    gas = next(item for item in made.report.rig.trailer_items if item.name == "gas and batteries")
    assert pages._from(gas, shown) == "20 in behind the coupling (trailer)"
    boot = dataclasses.replace(
        gas, path="tow_vehicle.load.x", station=dataclasses.replace(gas.station, value=-0.5, path="tow_vehicle.load.x.at")
    )
    assert neutral(pages._from(boot, shown)) == "19.7 in behind the rear axle (tow vehicle)"


def test_no_plan_is_said_plainly(impossible, made):
    shown = pages.view(impossible)
    assert shown.answer == "No loading that the file allows keeps every limit that could be checked."
    assert shown.conflict == (
        "These 2 limits cannot all be kept, though each could be by itself; no smaller set of limits is in conflict:"
    )
    assert [line.split(": today")[0] for line in shown.obstacles] == [
        "The noseweight against the tow vehicle's maximum noseweight",
        "The coupling's share of the loaded trailer against the maker's band, lower end",
    ]
    assert shown.unknown == "Nothing is planned for 21 checks that could not be made: the report lists them."
    larger = pages.view(dataclasses.replace(impossible, smallest=False)).conflict
    assert "without any one of them the others could be" in larger
    stuck = altered(
        generator=("[kitchen, rear bench, tow_vehicle.bed front], may_stay_behind: 8", "[tow_vehicle.bed front]"),
        gear=(", may_go_to: [kitchen]", ""),
        tank=(", may_hold: {least: empty, most: 1/2}", ""),
        bicycles=(", may_stay_behind: 3", ""),
        chest=(", may_stay_behind: 4", ""),
    )  # fmt: skip
    shown = pages.view(stuck)
    assert shown.conflict == "Whatever is done with what the file marks, this stays so:"
    # 40 lb too much on the rear axle: -132 x 195 / 145 + 165 x 133 / 145 = -26.2 lb leaves 13.8
    (line,) = shown.obstacles
    assert re.search(r"by 40 lb\. At best its margin would be -14 lb ± \d+ lb\.$", line)
    unmarked = plan(judge(parse(IMPOSSIBLE.replace(", may_go_to: [over the axle]", ""), "two.yaml")))
    shown = pages.view(unmarked)
    assert "The file marks nothing that a plan may change" in shown.answer
    assert shown.obstacles[0].endswith("Nothing that the file marks changes that.")
    bare = dataclasses.replace(impossible, together=())
    assert pages.view(bare).conflict == "Which limits stand in the way was not settled."
    given_up = dataclasses.replace(made, outcome="unsettled", every=False)
    assert pages.view(given_up).answer == (
        "Not settled in the time: with these changes every limit that could be checked is kept, its uncertainty included; a "
        "smaller change may do."
    )
    shown = pages.view(dataclasses.replace(given_up, changes=(), limits=(), planned=None))
    assert shown.answer.startswith("Not settled in the time: no loading ")
    assert shown.total == ""
    guided = pages.view(dataclasses.replace(made, every=False))
    assert guided.answer.endswith("Not every loading was tried: a smaller change may do.")


def test_what_is_not_proved_is_not_said_as_if_it_were(impossible, monkeypatch, tmp_path):
    monkeypatch.setattr(every, "MOST", 0)
    made = plan(impossible.report)
    shown = pages.view(made)
    assert shown.answer == "No loading that keeps every limit that could be checked was found. Not every one was tried."
    assert shown.conflict == "Not kept as the rig stands:"
    assert [line.split(":")[0] for line in shown.obstacles] == ["The noseweight against the tow vehicle's maximum noseweight"]
    for text in (pages.html(made, "rig"), pages.markdown(made, "rig"), printed(made)):
        for proof in ("Whatever is done", "At best", "cannot all be kept", "Nothing that the file marks"):
            assert proof not in text
    data = json.loads(pages.json(made, "rig"))
    jsonschema.validate(data, SCHEMA)
    assert (data["outcome"], data["every_loading_judged"]) == ("not_found", False)
    assert (data["cannot_be_kept"], data["in_conflict"], data["smallest_conflict"]) == ([], [], False)
    (tmp_path / "two.yaml").write_text(IMPOSSIBLE, "utf-8")
    assert cli.main(["plan", str(tmp_path / "two.yaml")]) == 1


def test_what_would_not_be_known_any_more_is_said_where_every_loading_was_judged():
    text = """
rig: 1
name: nobody
tow_vehicle:
  payload: 100 kg
  load: {box: {mass: 150 kg, source: measured, may_stay_behind: 1}}
coupling: {kind: weight_carrying, hardware_mass: 10 kg}
coupling_load: {value: 50 kg, source: measured}
trailer: {}
"""
    made = plan(judge(parse(text, "nobody.yaml")))
    shown = pages.view(made)
    assert shown.answer == "No loading that the file allows is known to keep every limit that could be checked."
    assert shown.conflict.startswith("With some loadings no limit is passed, but this, which is known")
    assert shown.obstacles == ("The sum of people, cargo, hitch hardware and coupling load against the placard's payload.",)
    data = json.loads(pages.json(made, "rig"))
    jsonschema.validate(data, SCHEMA)
    assert [row["rule"] for row in data["known_no_more"]] == ["payload"]


def test_lengths_are_rounded_to_a_millimetre_and_never_up(made):
    finding = made.limits[0].then
    state = plan_json._state(finding._replace(dimension="length", margin=0.0169, uncertainty=0.0051))
    assert (state["margin"], state["uncertainty"], state["unit"]) == (0.016, 0.006, "m")


def test_what_stays_open_is_counted():
    open_ = altered(
        breakaway=("breakaway: {fitted: yes,", "breakaway: {fitted: no,"),
        payload=("payload: {value: 1750 lb", "payload: {value: 1900 lb"),
    )
    assert pages.view(open_).unknown == (
        "Nothing is planned for 2 requirements that are not met, 1 conflict of figures: the report lists them."
    )
    assert open_.outcome == "planned", "a missing breakaway device is nothing that a plan could cure"


def test_what_is_not_tried_is_said(monkeypatch):
    monkeypatch.setattr(every, "MOST", 0)
    untried = altered(
        at=("tool chest: {mass: 120 lb, at: bed front,", "tool chest: {mass: 120 lb,"),
        unloaded=("unloaded: {front: 3020 lb, rear: 2220 lb, source: scale_ticket}", "unloaded: {total: 5240 lb}"),
    )
    assert pages.view(untried).untried == (
        "Not tried: leaving tool chest behind, because then this could no longer be judged: the load on the rear axle against "
        "its GAWR.",
    )


def hostile_plan(text):
    plain = text.replace(".", "").replace("@", "").replace("[", "(").replace("]", ")").replace("\x1b", " ")
    quoted = json.dumps(plain)
    raw = IMPOSSIBLE.replace("Two wishes at once", quoted).replace("awning", quoted).replace("over the axle", quoted)
    return plan(
        judge(parse(raw.replace("max_coupling_load: 70 kg", "max_coupling_load: 84 kg").replace("8 %", "4 %"), "hostile.yaml"))
    )


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_names_stay_text(text):
    made = hostile_plan(text)
    assert made.outcome == "planned"
    shown = pages.view(made)
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(made, "rig"))
    tags = {e.tag for e in html.iter() if isinstance(e.tag, str)}
    assert tags <= {
        "html", "head", "meta", "title", "style", "body", "header", "main", "section", "footer", "h1", "h2", "p", "ul", "ol",
        "li", "table", "thead", "tbody", "tr", "th", "td",
    }  # fmt: skip
    assert html.find(".//h1").text == shown.name
    markdown = pages.markdown(made, "rig")
    rendered = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(markdown)
    parsed = html5lib.parse(f"<!doctype html><title>x</title>{rendered}", namespaceHTMLElements=False)
    assert {e.tag for e in parsed.iter() if isinstance(e.tag, str)} <= {
        "html", "head", "title", "body", "h1", "h2", "p", "ul", "ol", "li", "table", "thead", "tbody", "tr", "th", "td",
    }  # fmt: skip
    assert " ".join(shown.steps[0].split()) in " ".join("".join(parsed.itertext()).split())
    open_ = re.sub(r"&#[0-9]+;", "", markdown)
    assert [bad for bad in ("http://", "@someone", "#12", ":smile:", "<script", "<img") if bad in open_] == []
    assert not any((ord(c) < 32 and c != "\n") or 0x202A <= ord(c) <= 0x202E for c in printed(made))


def test_the_command_and_its_exit_codes(tmp_path, capsys):
    assert cli.main(["plan", str(EXAMPLE)]) == 0
    assert "Move generator" in capsys.readouterr().out
    for ending in (".html", ".md", ".json"):
        assert cli.main(["plan", str(EXAMPLE), "--to", str(tmp_path / f"p{ending}")]) == 0
        assert (tmp_path / f"p{ending}").stat().st_size > 500
    (tmp_path / "two.yaml").write_text(IMPOSSIBLE, "utf-8")
    assert cli.main(["plan", str(tmp_path / "two.yaml")]) == 1
    (tmp_path / "open.yaml").write_text(IMPOSSIBLE.replace("8 %", "4 %").replace("70 kg", "84 kg"), "utf-8")
    assert cli.main(["plan", str(tmp_path / "open.yaml")]) == 3, "planned, but much was not checked"
    assert cli.main(["plan", str(EXAMPLE), "--to", str(tmp_path / "p.docx")]) == 2
    assert cli.main(["plan", str(tmp_path / "none.yaml")]) == 4


def test_without_the_solver_the_command_says_what_to_install(monkeypatch, capsys):
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    assert cli.main(["plan", str(EXAMPLE)]) == 2
    said = capsys.readouterr().err
    assert said == "rigmargin: a plan needs SciPy's solver, which is not installed: pip install 'rigmargin[plan]'\n"
