"""A comparison as people and machines read it."""

import io
import json
from pathlib import Path

import html5lib
import jsonschema
import pytest
import schemas
from advice.test_compare import LEAVE_BOX, LEAVE_WOOD, WOOD_BACK, decide
from markdown_it import MarkdownIt
from rich.console import Console

from rigmargin.advice.compare import compare
from rigmargin.judge.finding import VERDICTS
from rigmargin.report import compare as pages
from rigmargin.spec import schema, variants

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
SCHEMA = schema.load("compare.schema.json")


@pytest.fixture(scope="module")
def decision():
    return compare(variants.read(EXAMPLES / "cedar-pass-bigger-truck.yaml"), together=3)


def terminal(decision, width=80):
    out = io.StringIO()
    pages.show(pages.view(decision), Console(file=out, width=width, highlight=False, markup=False))
    return out.getvalue()


def flat(text):
    return " ".join(text.split())


def test_every_form_gives_the_answer_first(decision):
    answer = "The cheapest that clears what is passed today: E (another truck), 31500 USD."
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(decision, "rig"))
    page = flat("".join(html.itertext()))
    assert answer in page
    assert answer in flat(terminal(decision))
    assert f"**{answer}**" in pages.markdown(decision, "rig").replace("&#58;", ":")
    data = json.loads(pages.json(decision, "rig"))
    assert data["cheapest"]["clears_what_is_passed"] == [["another truck"]]
    for text in (page, flat(terminal(decision))):
        assert "A and E do not come together: both change tow_vehicle." in text
        assert "without a certificate: it was not used" in text
        assert "It leaves behind what travels today: tools." in text
        assert "weigh again before you travel" in text


def test_terminal_fits_eighty_columns(decision):
    text = terminal(decision)
    assert max(map(len, text.splitlines())) <= 80
    assert "16 combinations in all; rigmargin compare FILE --to PATH writes every one." in flat(text)


def test_the_table_has_today_and_each_choice(decision):
    shown = pages.view(decision)
    assert shown.columns == ("A", "B", "C", "D", "E", "A + B")
    row = next(r for r in shown.limits if r.name.startswith("The loaded tow vehicle against"))
    # over by 11020 - 10000 lb; the tools weigh 260 lb; the other truck has 14000 - 12100 lb left
    assert [f"{c.mark} {c.margin}" for c in row.cells][:6] == [
        "▲ -1020 lb", "▲ -1020 lb", "▲ -752 lb", "▲ -760 lb", "▲ -1020 lb", "● 1900 lb",
    ]  # fmt: skip
    assert {len(r.cells) for r in shown.limits} == {7}


def test_markdown_tables_are_whole(decision):
    html = MarkdownIt("commonmark").enable("table").render(pages.markdown(decision, "rig"))
    assert html.count("<table>") == 2
    assert html.count("<tr>") == 1 + len(decision.considered.options) + 1 + len(pages.view(decision).limits)


def test_nothing_clears_it_is_said_with_the_limit_that_none_moves():
    options = {"box": {"cost": "10 USD", "change": LEAVE_BOX}}
    text = flat(terminal(decide(options, trailer={"gvwr": "5500 lb"})))
    assert "None of these clears what is passed today." in text
    assert "No option moves this one: The loaded trailer, 5840 lb ± 26 lb, passes its maximum mass" in text
    assert "Some move this one, and none far enough: The load on the rear axle, 4080 lb" in text


def test_where_every_limit_is_cleared_but_none_clears_all():
    # the wood moved back clears the rear axle; the ballast over the trailer's axle taken away clears its 5700 lb; not together
    options = {
        "wood": {"excludes": ["ballast"], "change": WOOD_BACK},
        "ballast": {"change": {"trailer": {"load": {"ballast": None}}}},
    }
    ballast = {"ballast": {"mass": "200 lb", "at": "180 in"}}
    text = flat(terminal(decide(options, trailer={"gvwr": "5700 lb", "load": ballast})))
    assert "Each limit is cleared by some option, but none of those tried clears all without passing another." in text


def test_costs_in_words():
    options = {
        "wood": {"cost": "12.50 USD", "change": LEAVE_WOOD},
        "back": {"cost": "9 EUR", "excludes": ["wood"], "change": WOOD_BACK},
        "box": {"change": LEAVE_BOX},
    }
    text = flat(terminal(decide(options)))
    assert "clears what is passed today: A (wood), 12.50 USD." in text
    assert "clears what is passed today: B (back), 9 EUR." in text
    assert "Costs in different currencies were not compared with each other." in text
    assert "A + C: ? not checked (12.50 USD + cost not given)" in text
    assert "checks lack a figure today and with every option" in text


def test_cost_for_each_thing_cleared():
    decision = decide(
        {"wood": {"cost": "41 USD", "change": LEAVE_WOOD}}, trailer={"gvwr": "5800 lb"}, tow_vehicle={"gvwr": "6900 lb"}
    )
    (row,) = pages.view(decision).scenarios
    # the rear axle, the vehicle's mass and the trailer's: 41 / 3
    assert row.each == "13.67 USD for each of 3 cleared"


def test_a_search_cut_off_is_said():
    options = {name: {"change": {"tow_vehicle": {"load": {name: {"mass": "1 lb"}}}}} for name in "abcd"}
    text = flat(terminal(decide(options, together=4, most=5)))
    assert "Cut off: the 5 combinations of the fewest options were tried, and there are more of up to 4." in text
    assert "cheapest of those tried" in text


def test_a_file_without_options_says_where_to_write_them():
    assert "Write what you consider under options, each with a change." in flat(terminal(decide({})))


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda p: p.stem)
def test_json_obeys_its_schema(path):
    data = json.loads(pages.json(compare(variants.read(path), together=1), "rig"))
    jsonschema.validate(data, SCHEMA)
    assert data["rig"]["file"] == path.name


def test_the_schema_is_valid_and_describes_every_field():
    schemas.hold(SCHEMA, wrong={"compare": 1, "scenarios": [{}]})
    assert SCHEMA["$defs"]["verdict"]["enum"] == list(VERDICTS)


def test_units(decision):
    row = next(r for r in pages.view(decision, "both").limits if r.name.startswith("The loaded tow vehicle against"))
    assert row.cells[0].margin == "-1020 lb (-463 kg)"
    assert "kg" in pages.view(decision, "metric").limits[0].cells[0].margin


NAME = "<script>alert(1)</script> [x](http://evil.example) | @someone \u202e ![i](x)"
TAGS = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "section", "footer", "h1", "h2", "h3", "p", "ul", "li",
    "table", "thead", "tbody", "tr", "th", "td", "div", "span", "br", "details", "summary", "dl", "dt", "dd", "strong",
}  # fmt: skip


def test_hostile_names_stay_text():
    # the reader of rig files lets no control character through; everything printable is somebody's name
    name = NAME.replace("\u202e", "").replace("[", "(").replace("]", ")").replace(".", "").replace("@", "")
    decision = decide({name: {"change": {"note": NAME}, "note": NAME}}, name=NAME)
    page = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(decision, "rig"))
    assert {e.tag for e in page.iter() if isinstance(e.tag, str)} <= TAGS
    assert not any(attribute.startswith("on") or attribute in ("href", "src") for e in page.iter() for attribute in e.attrib)
    tree = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(pages.markdown(decision, "rig"))
    rendered = html5lib.parse(f"<!doctype html><title>x</title>{tree}", namespaceHTMLElements=False)
    assert {e.tag for e in rendered.iter() if isinstance(e.tag, str)} <= TAGS
    assert not any(0x202A <= ord(c) <= 0x202E for c in terminal(decision))
