"""The shopping sheet as people and machines read it."""

import io
import json
import math
import re
from pathlib import Path

import html5lib
import jsonschema
import pytest
import schemas
from markdown_it import MarkdownIt
from rich.console import Console
from rigs import EUROPEAN, FRONT, POUND, merged, rig

from rigmargin import cli
from rigmargin.advice.any_trailer import Share, own_share
from rigmargin.advice.needs import MAX_MASS, NAMES
from rigmargin.advice.shopping import TROUBLE, shopping
from rigmargin.judge.run import judge
from rigmargin.report import shopping as pages
from rigmargin.report.vehicle_needs import NEEDS
from rigmargin.spec import schema
from rigmargin.spec.rig import load, parse

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
SCHEMA = schema.load("shopping.schema.json")
EXAMPLE = Path(__file__).parents[2] / "specs_examples" / "alder-creek-fifth-wheel.yaml"
TAGS = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "section", "footer", "h1", "h2", "h3", "p", "ul", "li",
    "table", "thead", "tbody", "tr", "th", "td",
}  # fmt: skip


@pytest.fixture(scope="module")
def sheet():
    return shopping(judge(load(EXAMPLE)), Share(0.2))


def example(name, share=0.12):
    return shopping(judge(load(EXAMPLE.with_name(name))), Share(share))


def terminal(found, system="rig"):
    out = io.StringIO()
    pages.show(pages.view(found, system), Console(file=out, width=80, highlight=False, markup=False))
    return out.getvalue()


def test_terminal_fits_eighty_columns_and_says_what_binds(sheet):
    text = terminal(sheet)
    assert max(map(len, text.splitlines())) <= 80
    said = " ".join(text.split())
    for words in (
        # (10000 - 4740 - 3260) / 0.2 = 10000 lb; the ticket's two readings are known to 16.3 lb, over 0.2 to 82 lb
        "10000 lb 9918 lb The loaded tow vehicle against its GVWR",
        "The maker's trailer limit by itself would allow 14800 lb.",
        "The share on the coupling is taken to be 20 % of the loaded trailer, as asked for.",
        "is inside the customary band (common practice), 15.0 to 25.0 %. Common practice for fifth-wheel trailers",
        "Counted in the vehicle: driver, passenger, tool box; hitch hardware of 145 lb.",
        # 4740 + 3260 loaded less 7290 empty, and 0.2 x 14000: 3510 lb, of four readings; listed are 5 lb less
        "3510 lb 3534 lb 2710 lb payload",
        "by the scale (loaded alone less unloaded), which is more than is listed",
        "what it levers off the front axle, for this vehicle's coupling",
        "maximum trailer weight in the row for fifth wheel, braked. The whole trailer; where",
        "A controller that drives electric brakes.",
        "every pound more in the vehicle takes 5.0 off the trailer",
    ):
        assert words in said, words


def test_every_form_says_the_same(sheet):
    shown = pages.view(sheet)
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(sheet, "rig"))
    page = " ".join("".join(html.itertext()).split())
    markdown = html5lib.parse(MarkdownIt("gfm-like", {"linkify": False}).render(pages.markdown(sheet, "rig")))
    rendered = " ".join("".join(markdown.itertext()).split())
    data = json.loads(pages.json(sheet, "rig"))
    assert len(data["largest_trailer"]) == len(shown.largest) >= 10
    assert len(data["vehicle_needs"]) == len(shown.needs) >= 9
    for text in (page, rendered):
        for sentence in (*shown.share, shown.headline, shown.aboard, shown.trailer, *shown.required, *shown.cautions):
            assert sentence in text
        for row in shown.largest:
            assert row.limit in text
        for row in shown.needs:
            assert row.because in text
            assert row.where in text


def test_rounding_never_flatters(sheet):
    shown = pages.view(sheet)
    for one, row in zip(sheet.largest, shown.largest, strict=True):
        for mass, text in ((one.mass, row.mass), (one.sure, row.sure)):
            assert mass / POUND - 1 < float(text.removesuffix(" lb")) <= mass / POUND + 1e-4
    for need, row in zip(sheet.needs.least, shown.needs, strict=True):
        for mass, text in ((need.least, row.least), (need.sure, row.sure)):
            assert mass / POUND - 1e-4 <= float(text.removesuffix(" lb")) < mass / POUND + 1
        assert need.has / POUND - 1 < float(row.has.removesuffix(" lb")) <= need.has / POUND + 1e-4
    data = json.loads(pages.json(sheet, "rig"))
    for one, row in zip(sheet.largest, data["largest_trailer"], strict=True):
        assert one.mass - 0.1 < row["mass"] <= one.mass + 1e-4
        assert one.sure - 0.1 < row["sure"] <= one.sure + 1e-4
    for need, row in zip(sheet.needs.least, data["vehicle_needs"], strict=True):
        assert need.least - 1e-4 <= row["least"] < need.least + 0.1
        assert need.has - 0.1 < row["has"] <= need.has + 1e-4


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_json_obeys_its_schema(path):
    report = judge(load(path))
    own = own_share(report)
    share = own if isinstance(own, Share) else Share(0.12)
    data = json.loads(pages.json(shopping(report, share), "rig"))
    jsonschema.validate(data, SCHEMA)
    assert data["rig"]["file"] == path.name
    assert data["share"] == {"value": round(share.ratio, 6), "asked_for": share is not own}
    sure = [math.inf if row["sure"] is None else row["sure"] for row in data["largest_trailer"]]
    assert sure == sorted(sure)


def test_the_schema_is_valid_and_describes_every_field():
    schemas.hold(SCHEMA, wrong={"shopping": 1})
    assert set(SCHEMA["$defs"]["figure"]["enum"]) == {*NAMES, MAX_MASS}
    assert set(SCHEMA["$defs"]["remark"]["properties"]["verdict"]["enum"]) == set(TROUBLE)


def test_every_figure_has_its_words_and_a_place_where_it_is_printed():
    assert set(NEEDS) == {*NAMES, MAX_MASS}
    assert all(of.path.split(".")[0] in ("tow_vehicle", "coupling") for of in NAMES.values())


def test_both_units(sheet):
    shown = pages.view(sheet, "both")
    assert [row.mass for row in shown.largest][:2] == ["10000 lb (4535 kg)"] * 2
    assert {row.least for row in shown.needs} >= {"14000 lb (6351 kg)"}
    assert re.fullmatch(r"\d+ kg", pages.view(sheet, "metric").largest[0].mass)


def test_hostile_names_stay_text(hostile):
    found = shopping(hostile, Share(0.12))
    shown = pages.view(found)
    assert shown.largest
    assert shown.needs
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(found, "rig"))
    assert {e.tag for e in html.iter() if isinstance(e.tag, str)} <= TAGS
    assert not any(name.startswith("on") or name in ("href", "src") for e in html.iter() for name in e.attrib)
    assert html.find(".//h1").text == shown.name
    text = pages.markdown(found, "rig")
    rendered = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(text)
    parsed = html5lib.parse(f"<!doctype html><title>x</title>{rendered}", namespaceHTMLElements=False)
    assert {e.tag for e in parsed.iter() if isinstance(e.tag, str)} <= TAGS
    assert "".join(parsed.find(".//h1").itertext()) == f"Shopping sheet: {' '.join(shown.name.split())}"
    open_ = re.sub(r"&#[0-9]+;", "", text)  # a character reference opens nothing
    assert [bad for bad in ("http://", "www.example", "@someone", "#12", ":smile:", "<script", "<img") if bad in open_] == []
    assert {line.count("|") for line in text.splitlines() if line.startswith("|")} <= {3, 4, 7}, "tables of 2, 3 or 6 cells"
    said = terminal(found)
    assert not any((ord(c) < 32 and c != "\n") or 0x202A <= ord(c) <= 0x202E for c in said)


def test_what_is_not_known_is_said_with_how_to_learn_it():
    found = example("misty-lane-thin.yaml")
    shown = pages.view(found)
    assert "checks lack a figure and are not in this." in shown.headline
    assert "hitch hardware not stated" in shown.aboard
    unknown = {row.what: row for row in shown.unknown}
    payload = unknown["The sum of people, cargo, hitch hardware and tongue weight against the payload"]
    assert payload.acts == "weigh the hitch hardware"
    assert "Weigh it, or read its leaflet." in payload.how
    gross = unknown["The loaded tow vehicle against its GVWR"]
    assert gross.acts == "weigh the tow vehicle alone"
    assert shown.needs_unknown[0].what.startswith("payload")
    assert {row.has for row in shown.needs} >= {"not known"}
    for form in (pages.html, pages.markdown):
        assert "Weigh the tow vehicle alone" in form(found, "rig")
    assert "± 325 lb" in shown.trailer, "its maximum mass is from a brochure: 5 % of 6500 lb"


def test_no_limit_and_no_trailer_are_said():
    shown = pages.view(shopping(judge(rig()), Share(0.1)))
    assert shown.headline.startswith("No limit that is known says how heavy the trailer may be.")
    assert shown.trailer.startswith("The trailer's maximum mass is not known")
    assert shown.needs == ()
    text = pages.html(shopping(judge(rig()), Share(0.1)), "rig")
    assert shown.no_largest in text


def test_nothing_left_is_said():
    heavy = {"tow_vehicle": {"max_mass": "3000 kg", "load": {"driver": {"mass": "80 kg", "person": "yes"}}}}
    ticket = {"state": "alone", "front": "1500 kg", "increment": "20 kg"}
    past = pages.view(shopping(judge(rig(**heavy, weighings=[{**ticket, "rear": "1600 kg"}])), Share(0.1)))
    assert past.headline.startswith("Nothing is left for a trailer: the loaded tow vehicle against its maximum mass.")
    assert past.largest[0].limit.endswith("(used up without any trailer)")
    close = pages.view(shopping(judge(rig(**heavy, weighings=[{**ticket, "rear": "1495 kg"}])), Share(0.1)))
    assert close.headline.startswith("Nothing is sure to be left for a trailer: the loaded tow vehicle")
    assert close.largest[0].limit.endswith("(too close to tell, or in conflict, even without a trailer)")
    assert close.behind == "With any trailer"


def test_a_window_and_what_the_lightest_trailer_passes_are_said_first():
    """Front 2980 lb alone against 2800: 180 / 0.4 / 0.12 = 3750 lb of trailer lift enough off; 900 / 0.12 = 7500 lb end it."""
    front = merged(FRONT, {"tow_vehicle": {"axles": {"front": {"gawr": "2800 lb"}}}})
    found = shopping(judge(parse(json.dumps(front), "front.yaml")), Share(0.12))
    shown = pages.view(found)
    assert shown.headline.startswith(
        "Passed with the lightest trailer: the load on the front axle against its GAWR (without any trailer "
        "too). A trailer from 3750 lb to 7500 lb, loaded, keeps every limit that is known. Above it binds the tongue "
        "weight against the tow vehicle's maximum tongue weight."
    )
    row = next(row for row in shown.largest if "front axle" in row.limit)
    assert (row.mass, row.sure) == ("from 3750 lb up", "from 3750 lb up")
    assert row.limit.endswith("(passed with a lighter trailer and without any)")
    data = json.loads(pages.json(found, "rig"))
    jsonschema.validate(data, SCHEMA)
    assert data["keeps_every_known_limit"] == [{"from": 1701.0, "to": 3401.9}]  # 3750 lb = 1700.97 kg, 7500 = 3401.94
    assert [r["mass"] for r in data["largest_trailer"] if r["limit"]["rule"] == "axle-load"] == [None]
    none = pages.view(shopping(judge(parse(json.dumps(FRONT), "front.yaml")), Share(0.12))).headline
    assert (
        "None: no trailer is sure to keep every limit. The load on the front axle against its GAWR, only from "
        "10000 lb up; the tongue weight against the tow vehicle's maximum tongue weight, only up to 7500 lb."
    ) in none


def test_a_limit_passed_by_every_trailer_is_named():
    pin = merged(FRONT, {"tow_vehicle": {"coupling_behind_rear_axle": "0 in"}})
    shown = pages.view(shopping(judge(parse(json.dumps(pin), "front.yaml")), Share(0.12)))
    assert shown.headline.startswith("Nothing is left for a trailer: the load on the front axle against its GAWR.")


def test_which_way_the_payload_is_known_is_said():
    heavy = {**FRONT, "weighings": [{"state": "alone", "front": "3100 lb", "rear": "2800 lb", "increment": "20 lb"}]}
    for content, how in (
        (FRONT, "as listed"),
        (heavy, "by the scale (loaded alone less unloaded), which is more than is listed"),
    ):
        row = pages.view(shopping(judge(parse(json.dumps(content), "front.yaml")), Share(0.12))).needs[0]
        assert row.because == f"People, cargo and hitch hardware {how}, and the tongue weight."


def test_both_rows_are_named_where_the_trailers_brakes_are_not_stated():
    unsaid = merged(EUROPEAN, {"trailer": {"brakes": None}})
    unsaid["trailer"] = {}
    shown = pages.view(shopping(judge(parse(json.dumps(unsaid), "floor.yaml")), Share(0.05)))
    said = "is not in this, because the file does not state the trailer's brakes: 2200 kg braked, 750 kg unbraked."
    assert f"The towable mass {said}" in shown.headline
    stated = pages.view(shopping(judge(parse(json.dumps(EUROPEAN), "floor.yaml")), Share(0.05)))
    assert "is not in this, because" not in stated.headline


def test_a_share_outside_its_band_and_one_of_the_rigs_own_are_said():
    outside = example("birch-hollow-travel-trailer.yaml", 0.2)
    assert any("outside the customary band (common practice), 10.0 to 15.0 %" in s for s in pages.view(outside).share)
    assert [r["rule"] for r in json.loads(pages.json(outside, "rig"))["remarks"]] == ["coupling-share"]
    assert any("Distributing bars are counted slack" in caution for caution in pages.view(outside).cautions)
    report = judge(load(EXAMPLE))
    own = pages.view(shopping(report, own_share(report))).share[0]
    # 2480 / 12580 = 19.71 %, rounded up
    assert own.startswith("The share on the coupling is 19.7 % ± 0.2 % of the loaded trailer, as this rig has it now: ")


def test_how_light_the_front_axle_gets_is_said():
    """Linden: 75 kg on the ball at the largest sure trailer; its lever is told in per cent."""
    shown = pages.view(example("linden-caravan.yaml", 0.06))
    assert shown.behind == "With a trailer of 1250 kg"  # 75 kg of noseweight over 6 %
    assert [s for s in shown.remarks if "front axle's load without a trailer remains" in s]


def test_the_trailers_own_part_of_the_coupling_is_told_apart():
    found = example("quarry-bend-utility.yaml")
    assert not any(row.stops.subject.endswith("coupler") for row in found.largest)


def test_no_form_gives_a_verdict_that_is_nobodys_to_give():
    for path in EXAMPLES:
        text = pages.html(shopping(judge(load(path)), Share(0.12)), "rig")
        assert not re.search(r"\b(safe|safely|legal|legally|lawful)\b", re.sub("<style>.*?</style>", "", text, flags=re.DOTALL))


def test_the_command(tmp_path, capsys):
    assert cli.main(["shopping", str(EXAMPLE), "--share", "20 %"]) == 0
    assert "as asked for" in " ".join(capsys.readouterr().out.split())
    assert cli.main(["shopping", str(EXAMPLE)]) == 0
    assert "as this rig has it now" in " ".join(capsys.readouterr().out.split())
    for ending in (".html", ".md", ".json"):
        assert cli.main(["shopping", str(EXAMPLE), "--share", "20 %", "--to", str(tmp_path / f"s{ending}")]) == 0
        assert (tmp_path / f"s{ending}").stat().st_size > 500
    assert capsys.readouterr().out.count("shopping sheet") == 3
    assert cli.main(["shopping", str(EXAMPLE), "--share", "20 %", "--to", str(tmp_path / "s.docx")]) == 2
    assert cli.main(["shopping", str(tmp_path / "none.yaml"), "--share", "20 %"]) == 4
    bare = tmp_path / "bare.yaml"
    bare.write_text("rig: 1\nname: bare\ntow_vehicle: {}\ncoupling: {kind: weight_carrying}\ntrailer: {}\n", "utf-8")
    assert cli.main(["shopping", str(bare), "--share", "12 %"]) == 3


def test_a_share_that_is_not_known_is_asked_for(capsys):
    assert cli.main(["shopping", str(EXAMPLE.with_name("misty-lane-thin.yaml"))]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    for words in (
        "'misty-lane-thin.yaml' does not tell which share of the trailer rests on the coupling",
        "--share 'NUMBER %'",
        "or weigh the rig coupled and weigh the tow vehicle alone",
        "The customary band (common practice) for this rig is 10.0 to 15.0 %. Common practice in the United States",
    ):
        assert words in told.err


@pytest.mark.parametrize(
    ("share", "words"),
    [
        ("12", "found '12'; expected a ratio such as 12 %; add the unit the label uses: 12 %"),
        ("12%", "write 12 %"),
        ("0 %", "found '0 %'; expected more than 0 %, and no more than 60 %"),
        ("-3 %", "found '-3 %'; expected more than 0 %, and no more than 60 %"),
        ("120 %", "found '120 %'; expected more than 0 %, and no more than 60 %"),
    ],
)
def test_a_share_that_is_none_is_refused_with_the_cure(share, words, capsys):
    assert cli.main(["shopping", str(EXAMPLE), "--share", share]) == 2
    told = capsys.readouterr()
    assert told.err.startswith("rigmargin: --share: found ")
    assert words in told.err
    assert told.out == ""
