"""The weigh-day sheet: a blank for what is lacking, nothing of the owner's unless asked, markup from us only."""

import dataclasses
import re
from pathlib import Path

import html5lib
import pytest
from markdown_it import MarkdownIt
from rigs import COMPUTED, rig

from rigmargin import cli
from rigmargin.advice.learn import learn
from rigmargin.advice.to_weigh import to_weigh
from rigmargin.judge.run import judge
from rigmargin.report import sheet
from rigmargin.report.regional import regional, said
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
ALDER, THIN, LINDEN, HERON, FERN = (
    next(p for p in EXAMPLES if p.stem == name)
    for name in ("alder-creek-fifth-wheel", "misty-lane-thin", "linden-caravan", "heron-lake-bike-rack", "fern-bank-tyres")
)  # fmt: skip


def _page(report, **asked):
    return html5lib.parse(sheet.html(report, **asked), namespaceHTMLElements=False)


def _text(element):
    return " ".join("".join(element.itertext()).split())


def _rows(page):
    """The table: what stands at the head of each row, and the class of each of its cells."""
    table = page.find(".//table")
    return {_text(row.find("th")): [cell.attrib.get("class", "") for cell in row.findall("td")] for row in table.iter("tr")}


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def report(request):
    return judge(load(request.param))


def test_page_is_well_formed_with_every_pass_and_every_other_act(report):
    html5lib.HTMLParser(strict=True).parse(sheet.html(report))
    page, markdown = _text(_page(report).find("body")), sheet.markdown(report)
    own = regional(report.rig)
    for one in said(to_weigh(report), own):
        assert one.how in page
        assert one.how.split(",", 1)[0] in markdown
    weighed = {one.how for one in said(to_weigh(report), own)}
    for act in said(learn(report), own):
        assert act.how in page
        if act.how not in weighed:
            for path in act.paths:  # each by itself, or by the figures that it has, or of each axle
                one = re.escape(path).replace(r"\*", "[^.]+")
                assert re.search(rf"\({one}[.)]", page), path


def test_each_row_of_the_table_has_a_cell_for_each_pass(report):
    steps = len(to_weigh(report))
    assert steps
    rows = _rows(_page(report))
    assert {len(cells) for label, cells in rows.items() if not label.startswith("Copy what")} == {steps}
    tables = [line.count("|") for line in sheet.markdown(report).splitlines() if line.startswith("|")]
    assert set(tables) == {steps + 2}


def test_a_blank_stands_exactly_where_the_pass_can_read_and_is_framed_where_it_is_asked_for():
    thin = judge(load(THIN))
    rows = _rows(_page(thin))
    assert [one.state for one in to_weigh(thin)] == ["coupled", "alone"]
    assert rows["Trailer axles"] == ["wanted", "none"]
    assert rows["Front axle"] == ["wanted", "blank"]
    assert rows["Aboard: camping gear"] == ["blank", "none"], "what is in the trailer is not on the scale without it"
    assert "A thick frame" in sheet.html(thin)
    assert "(asked for)" in sheet.markdown(thin)


def test_blanks_are_in_the_units_of_the_rig_or_in_those_asked_for():
    assert "kg" in sheet.view(judge(load(LINDEN))).unit
    assert sheet.view(judge(load(LINDEN)), "us").unit == "lb"
    assert sheet.view(judge(load(ALDER))).unit == "lb"
    pressures = [unit for copy in sheet.view(judge(load(THIN))).copies for _, path, unit in copy.blanks if "pressure" in path]
    assert set(pressures) == {"psi"}


def _asked(report, act, system="rig"):
    copy = next(copy for copy in sheet.view(report, system).copies if act in copy.name)
    return {path: unit for _, path, unit in copy.blanks}


def test_who_photographs_a_label_is_asked_for_all_that_the_checks_will_want_of_it():
    thin = judge(load(THIN))
    sidewall = ("marking", "max_load_single", "pressure_at_max_load", "date_code", "count")
    assert set(_asked(thin, "sidewall")) == {
        f"tow_vehicle.axles.{axle}.tyres.{name}" for axle in ("front", "rear") for name in sidewall
    }
    hitch = _asked(thin, "hitch part")
    for part in ("receiver", "ball mount", "ball", "coupler"):
        assert {f"coupling.parts.{part}.max_vertical_load", f"coupling.parts.{part}.max_towed_mass"} <= set(hitch)
        assert (f"coupling.parts.{part}.ball_diameter" in hitch) is (part in ("ball", "coupler"))
        assert f"coupling.parts.{part}" not in hitch, "its figures stand for it"
    known = judge(load(ALDER))  # of whose tyres the file lacks the date codes alone
    assert {path.rpartition(".")[2] for path in _asked(known, "sidewall")} == {"date_code"}


def test_what_is_asked_of_every_axle_has_a_blank_for_each():
    heron = judge(load(HERON))
    asked = _asked(heron, "sidewall")
    assert {"trailer.axles.leading.tyres.size", "trailer.axles.trailing.tyres.size"} <= set(asked)
    assert not [path for path in asked if "*" in path]


def test_a_small_length_is_asked_for_in_millimetres_and_a_long_one_in_metres():
    fern = judge(load(FERN))
    assert set(_asked(fern, "hitch part", "metric").values()) == {"mm"}
    assert set(_asked(fern, "hitch part", "us").values()) == {"in"}
    lengths = _asked(judge(load(LINDEN)), "tape", "metric")
    assert lengths["trailer.length"] == "m" and lengths["tow_vehicle.width"] == "m"


def test_the_owner_is_named_only_when_asked_for():
    alder = judge(load(ALDER))
    assert "member 0142" not in sheet.html(alder) + sheet.markdown(alder)
    assert "member 0142" in sheet.html(alder, owner=True)
    assert "member 0142" in sheet.markdown(alder, owner=True)


def test_tickets_of_the_file_are_named_with_their_days_and_nothing_waits_is_said():
    page = _text(_page(judge(load(ALDER))).find("body"))
    assert "The file holds: the rig coupled, no bars or bars slack, 2026-05-02; the tow vehicle alone, 2026-05-02." in page
    assert "No check waits for a weighing." in page
    assert "Make the passes in this order: what settles the most comes first." in sheet.html(judge(rig()))


def test_a_date_of_the_file_that_would_refuse_the_ticket_is_told_beforehand():
    told = "The file's date is 2026-06-01: set it to the day of the weighing, or a ticket from after it is refused."
    alder = judge(load(ALDER))
    assert told in _text(_page(alder).find("body"))
    assert told in sheet.markdown(alder)
    assert "file's date" not in sheet.html(judge(rig()))


def test_a_rig_that_was_never_weighed_is_sent_to_the_scale_though_no_check_waits():
    computed = judge(rig(**COMPUTED))
    view = sheet.view(computed)
    assert view.lacks == "The rig was never weighed: what is known of its loads is computed. A scale tells what they are."
    assert [(step.name, step.why) for step in view.steps] == [
        ("The rig coupled, no bars or bars slack", ""),
        ("The tow vehicle alone", ""),
    ]
    assert sheet.asks(dataclasses.replace(computed, findings=())), "also where no figure is asked for"
    assert not sheet.asks(dataclasses.replace(judge(load(ALDER)), findings=()))


def test_a_pass_that_settles_nothing_is_not_praised_for_what_it_settles(report):
    view, made = sheet.view(report), to_weigh(report)
    for step, one in zip(view.steps, made, strict=True):
        assert step.why.startswith("Settles: ") is bool(one.settles)
    assert ("settles the most" in view.lacks) is any(one.settles for one in made)


def test_a_tank_is_ticked_like_what_is_aboard_and_how_full_it_is_belongs_into_the_file():
    rows = _rows(_page(judge(load(ALDER))))
    assert rows["Aboard: fresh water"] == ["blank", "none"]
    told = "where it was otherwise on the scale, correct {} in the file"
    assert told.format("filled:") in _text(_page(judge(load(ALDER))).find("body"))
    assert "fresh water: 1/3 in the file; on the scale ...." in sheet.markdown(judge(load(ALDER)))
    assert "A tank is aboard unless" not in sheet.html(judge(rig())), "no tank, no word of it"


def test_hostile_text_stays_text(hostile):
    for element in _page(hostile, owner=True).iter():
        assert element.tag not in ("script", "img", "svg", "a")
        assert not any(name.startswith("on") or name in ("href", "src") for name in element.attrib)
    assert _text(_page(hostile).find(".//h1")) == " ".join(sheet.view(hostile).name.split())
    rendered = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(sheet.markdown(hostile, owner=True))
    tags = set(re.findall(r"<([a-z0-9]+)", rendered))
    assert tags <= {"h1", "h2", "p", "strong", "ul", "ol", "li", "table", "thead", "tbody", "tr", "th", "td"}


def test_page_asks_for_no_script_and_no_network_and_keeps_rows_whole_on_paper(report):
    page = sheet.html(report)
    assert "default-src 'none'" in page
    assert "url(" not in page
    assert "<script" not in page
    assert ".grid tr { break-inside: avoid; }" in page
    assert "@page" in page


def test_command_writes_the_page_and_refuses_what_is_no_page(tmp_path, capsys):
    target = tmp_path / "sheet.html"
    assert cli.main(["sheet", str(ALDER), "--to", str(target)]) == 0
    assert capsys.readouterr().out == f"{target}: weigh-day sheet\n"
    assert target.read_text("utf-8") == sheet.html(judge(load(ALDER)))
    assert cli.main(["sheet", str(ALDER), "--to", str(tmp_path / "sheet.md"), "--with-owner", "--units", "metric"]) == 0
    assert (tmp_path / "sheet.md").read_text("utf-8") == sheet.markdown(judge(load(ALDER)), "metric", owner=True)
    capsys.readouterr()
    assert cli.main(["sheet", str(ALDER), "--to", str(tmp_path / "sheet.json")]) == 2
    assert "ends in none of .html, .md, .pdf" in capsys.readouterr().err
    assert not (tmp_path / "sheet.json").exists()
