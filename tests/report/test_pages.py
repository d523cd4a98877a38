"""The reports say the same thing, completely, in words a person can read."""

import json as standard
from pathlib import Path

import html5lib
import pytest
from markup import as_shown
from rigs import COMPUTED, rig

from rigmargin.judge.run import judge
from rigmargin.report import json, pages, record, rendering, words
from rigmargin.report.regional import regional, said
from rigmargin.report.view import view
from rigmargin.spec.rig import load, parse

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def report(request):
    return judge(load(request.param))


def _drawn(page, name):
    return [element for element in page.iter() if str(element.tag).rpartition("}")[2] == name]


def _text(html):
    body = html5lib.parse(html, namespaceHTMLElements=False).find("body")
    return " ".join("".join(body.itertext()).split())


def test_every_finding_stands_in_both_pages_with_its_sentence(report):
    page, markdown = _text(as_shown(pages.html(report))), pages.markdown(report)
    for row in view(report).rows:
        assert " ".join(row.text.split()) in page
        assert rendering.markdown_text(row.text) in markdown


def test_every_unknown_says_how_to_learn_it(report):
    page = _text(pages.html(report))
    unknown = {m.path for f in report.findings for m in f.missing}
    acts = view(report).acts
    assert {path for act in acts for path, _ in act.learns} == unknown
    for act in acts:
        assert f"{act.name}: {act.how}" in page
        for path, how in act.learns:
            assert how.endswith(".")
            assert f"{path}: {how}" in page


def test_options_of_the_file_are_listed_with_the_command_that_compares_them():
    text = EXAMPLES[0].read_text("utf-8") + "options:\n  helper springs: {cost: 240 USD, change: {note: x}}\n"
    one = judge(parse(text, "options.yaml"))
    assert "Options in the file (rigmargin compare sets them side by side) helper springs" in _text(
        pages.html(one).replace("</dt>", " </dt>")
    )
    assert "sets them side by side): helper springs" in pages.markdown(one)


def test_no_report_calls_a_rig_safe_or_legal(report):
    everything = (pages.html(report) + pages.markdown(report) + json.render(report)).lower()
    for word in ("safe ", "safely", "is safe", "legal to", "is legal", "legally"):
        assert word not in everything


def test_cautions_are_in_both(report):
    page, markdown = _text(pages.html(report)), pages.markdown(report)
    for caution in said(words.CAUTIONS, regional(report.rig)):
        assert caution in page
        assert rendering.markdown_text(caution) in markdown


def test_every_entry_of_the_json_is_spelt_as_one_encoder_spells_it(report):
    text = json.render(report)
    data = standard.loads(text)
    entries = [*(f"{standard.dumps(n, ensure_ascii=False)}: {_spelt(e)}" for n, e in data["loads"].items())]
    entries += [_spelt(entry) for entry in (*data["next"], *data["findings"])]
    lines = [line.strip().removesuffix(",") for line in text.splitlines() if line.startswith("  ")]
    assert lines == entries


def _spelt(entry):
    return standard.dumps(entry, ensure_ascii=False)


def test_a_figure_is_evidence_for_its_own_path(report):
    evidence = [e.stated for f in report.findings for e in f.evidence]
    assert all(stated is report.rig.get(stated.path) for stated in evidence)


def test_html_is_well_formed(report):
    html5lib.HTMLParser(strict=True).parse(pages.html(report))


def test_chart_shows_each_compared_limit_in_order_of_room(report):
    page = html5lib.parse(as_shown(pages.html(report)), namespaceHTMLElements=False)
    bars = ["".join(bar.itertext()) for bar in page.iter("div") if bar.attrib.get("class", "").startswith("bar ")]
    rows = [row for row, _ in view(report).chart]
    compared = [f for f in report.findings if f.margin is not None and f.verdict != "not_checked" and not f.other[0]]
    assert len(bars) == len(rows) == len(compared)
    assert sum(row.bar is not None for row in rows) == sum(bool(f.high) for f in compared)
    for row, bar in zip(rows, bars, strict=True):
        against = f"{row.load} of {row.limit}" if row.bar else f"{row.load}, at least {row.limit}"
        assert f"{row.word}: {row.label}" in bar and against in bar and row.margin in bar
    rooms = [row.room for row in rows]
    assert rooms == sorted(rooms)


def test_the_headline_the_chart_and_the_record_agree_on_which_margin_is_the_least(report):
    tight, shown = report.tightest, view(report)
    if tight is None:
        assert not shown.by_room
        return
    assert shown.by_room[0].label == words.compared_words(tight, report.rig)
    assert tuple(row for row, _ in shown.chart) == shown.by_room
    least = next((row for row in record.view(report).binding if row.verdict not in words.PASSED), None)
    assert least == next((row for row in shown.by_room if row.verdict not in words.PASSED), None)


def test_a_rig_of_which_nothing_is_known_is_told_what_to_do_first_where_its_margins_would_stand():
    report = judge(rig())
    text, acts = _text(as_shown(pages.html(report))), view(report).acts
    margins = text[text.index("Margins") : text.index("Findings")]
    assert "Each bar" not in margins and "No margin is known yet" in margins
    assert all(f"{act.name}: {act.how}" in margins for act in acts[:3]) and len(acts) > 3
    assert f"{acts[3].name}: {acts[3].how}" not in margins


def test_a_check_that_does_not_apply_to_several_parts_names_each():
    report = judge(load(next(path for path in EXAMPLES if path.stem == "alder-creek-fifth-wheel")))
    for page in (_text(as_shown(pages.html(report))), pages.markdown(report).replace("&#58;", ":")):
        for part in ("fifth wheel head", "king pin"):
            assert f"coupling-d-value, {part}: " in page


def test_no_limit_that_is_passed_or_too_close_is_folded_away():
    weak = {f"part {n}": {"max_towed_mass": "1000 lb"} for n in range(14)} | {"strong": {"max_towed_mass": "9000 lb"}}
    one = rig(**COMPUTED | {"coupling": COMPUTED["coupling"] | {"parts": weak}})
    report = judge(one)
    over = report.counts["over"]
    assert over >= 14
    page = html5lib.parse(pages.html(report), namespaceHTMLElements=False)
    folded = [div for aside in page.iter("details") if aside.attrib.get("class") == "aside" for div in aside.iter("div")]
    verdicts = {div.attrib["class"] for div in folded if div.attrib.get("class", "").startswith("bar ")}
    assert verdicts <= {"bar v-within", "bar v-at_limit"} and verdicts
    assert f"{len(view(report).chart) - view(report).unfolded} more, all within or at the limit" in _text(
        as_shown(pages.html(report))
    )


def test_chart_fits_its_frame(report):
    page = html5lib.parse(pages.html(report), namespaceHTMLElements=False)
    lines = _drawn(page, "line")
    assert bool(lines) == any(row.bar for row, _ in view(report).chart)
    for line in lines:
        assert float(line.attrib["x2"]) <= 1000


def test_two_reports_of_one_file_are_the_same_bytes(report):
    again = judge(load(report.rig.file))
    assert json.render(again) == json.render(report)
    assert pages.html(again) == pages.html(report)
    assert pages.markdown(again) == pages.markdown(report)


def test_report_names_no_folder_of_the_machine(report):
    folder = str(Path(report.rig.file).parent)
    assert folder not in pages.html(report) + pages.markdown(report) + json.render(report)
