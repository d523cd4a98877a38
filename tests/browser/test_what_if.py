"""The page's dials and its switch of units say what the engine says, to the rounding shown."""

import random
from dataclasses import replace

import pytest
from club_repository import EXAMPLES

from rigmargin.advice.influence import checks
from rigmargin.advice.trial import rearranged
from rigmargin.advice.what_if import what_if
from rigmargin.judge.run import judge
from rigmargin.report import pages, words
from rigmargin.report.display import display
from rigmargin.spec.rig import load
from rigmargin.spec.units import to_si

THEN = "[...document.querySelectorAll('.what-if tbody tr')].map((row) => row.cells[2].textContent.trim())"
SET = """([name, value]) => {
  const dial = document.getElementById(name);
  dial.value = value;
  dial.dispatchEvent(new Event("input", { bubbles: true }));
}"""
#: All words of the page with every fold open, but for what only the script says, and for the drawing's own letters.
WORDS = """() => {
  document.querySelectorAll('details').forEach((one) => { one.open = true; });
  document.querySelectorAll('.what-if, form, svg, script, .inputs, #glossary').forEach((one) => one.remove());
  return document.body.innerText.split(/\\n+/).map((line) => line.trim()).filter(Boolean);
}"""


def report_of(name):
    return judge(load(EXAMPLES / f"{name}.yaml"))


def choose(page, units):
    page.locator("#as-read select[name=units]").select_option(units)


def said(finding, shown):
    word, mark = words.VERDICT_WORDS[finding.verdict]
    margin = f"{words.margin_number(finding, shown)} {words.spread_number(finding, shown)}".strip()
    return f"{mark} {word}: {margin}"


def set_at_random(page, made, chance, unit):
    """Move every dial of the page as a person would; the settings that come of it."""
    settings = []
    for i, dial in enumerate(made.dials):
        if dial.kind == "person":
            value = chance.randint(0, int(dial.ranges[-1].high / to_si(1, unit)))
            settings.append(value * to_si(1, unit))
        else:
            value = chance.randint(0, 100 if dial.kind == "tank" else len(dial.ranges))
            settings.append(value)
        page.evaluate(SET, [f"dial-{i}", str(value)])
    return settings


@pytest.mark.parametrize(
    ("name", "units", "unit"),
    [
        ("thistle-ford-generator", "", "lb"),
        ("thistle-ford-generator", "metric", "kg"),
        ("birch-hollow-travel-trailer", "us", "lb"),
        ("linden-caravan", "", "kg"),
        ("wattle-dual-cab", "metric us", "kg"),
        ("alder-creek-fifth-wheel", "", "lb"),
        ("fern-bank-tyres", "metric", "kg"),
    ],
)
def test_dials_say_what_the_engine_says(name, units, unit, opened):
    report, chance = report_of(name), random.Random(name + units)
    made = what_if(report)
    page = opened(pages.html(report, what_if=made))
    if units:
        choose(page, units)
    system = {"": "rig", "metric us": "both"}.get(units, units)
    shown = display(report.rig, system)
    for _ in range(4):
        settings = set_at_random(page, made, chance, unit)
        steps = [dial.step(x) for dial, x in zip(made.dials, settings, strict=True) if abs(x - dial.now) > 1e-9]
        then = checks(judge(rearranged(report.rig, steps)))
        for line, text in zip(made.followed, page.evaluate(THEN), strict=True):
            assert text == said(then[line.check], shown), (line.check, settings)


def test_as_on_file_brings_every_margin_back(opened):
    report = report_of("thistle-ford-generator")
    made = what_if(report)
    page = opened(pages.html(report, what_if=made))
    before = page.evaluate(THEN)
    assert before == [said(each.today, display(report.rig)) for each in made.followed]
    set_at_random(page, made, random.Random(1), "lb")
    assert page.evaluate(THEN) != before
    assert page.locator(".what-if .then").inner_text().startswith("Set otherwise: of the ")
    page.get_by_role("button", name="As on file").click()
    assert page.evaluate(THEN) == before
    assert page.locator(".what-if .then").inner_text().startswith("As on file: of the ")


def test_a_slider_is_moved_by_keyboard_and_says_where_it_stands(opened):
    report = report_of("alder-creek-fifth-wheel")
    page = opened(pages.html(report, what_if=what_if(report)))
    slider = page.get_by_role("slider", name="fresh water")
    slider.focus()
    page.keyboard.press("End")
    # 60 gal: the tank of the example, full
    assert slider.get_attribute("aria-valuetext") == "100 %, 60 gal"
    page.keyboard.press("ArrowLeft")
    assert slider.get_attribute("aria-valuetext") == "99 %, 59 gal"


@pytest.mark.parametrize(
    ("name", "own"), [("alder-creek-fifth-wheel", "us"), ("linden-caravan", "metric"), ("wattle-dual-cab", "metric")]
)
def test_switched_units_are_those_of_a_report_in_them(name, own, opened):
    report, other = report_of(name), {"us": "metric", "metric": "us"}[own]
    for units, system in (
        (other, other),
        (own, own),
        ("metric us" if own == "metric" else "", "both" if own == "metric" else "rig"),
    ):
        page = opened(pages.html(report))
        choose(page, units)
        assert page.evaluate(WORDS) == opened(pages.html(report, system), script=True).evaluate(WORDS)


@pytest.mark.parametrize(
    ("name", "regions"),
    [
        ("alder-creek-fifth-wheel", ("gb", "neutral")),
        ("linden-caravan", ("au", "us")),
        ("wattle-dual-cab", ("eu", "ie")),
        ("juniper-flat-soft-springs", ("nz",)),
    ],
)
def test_switched_words_are_those_of_a_report_for_that_region(name, regions, opened):
    report = report_of(name)
    page = opened(pages.html(report))
    switched = {}
    for region in regions:  # before all folds are opened and parts taken out
        page.locator("#as-read select[name=words]").select_option(region)
        switched[region] = page.evaluate("""() => {
          const copy = document.body.cloneNode(true);
          copy.querySelectorAll('[hidden], .what-if, form, svg, script, .inputs').forEach((one) => one.remove());
          return copy.textContent.replace(/\\s+/g, ' ');
        }""")
    for region, text in switched.items():
        settings = replace(report.rig.settings, words=region)
        there = replace(report, rig=replace(report.rig, settings=settings))
        same = opened(pages.html(there)).evaluate("""() => {
          document.querySelectorAll('[hidden], .what-if, form, svg, script, .inputs').forEach((one) => one.remove());
          return document.body.textContent.replace(/\\s+/g, ' ');
        }""")
        assert text == same


def test_words_can_be_put_back_and_their_glossary_with_them(opened):
    page = opened(pages.html(report_of("alder-creek-fifth-wheel")))
    before = page.locator("main").inner_text()
    assert "Words used here" in before
    choice = page.locator("#as-read select[name=words]")
    choice.select_option("gb")
    assert "maximum authorised mass" in page.locator("main").inner_text()
    assert "maximum authorised mass (MAM)" in page.locator("#glossary").inner_text()
    assert "GVWR" not in page.locator("#glossary").inner_text()
    choice.select_option("neutral")
    assert not page.locator("#glossary").is_visible()
    choice.select_option("")
    assert page.locator("main").inner_text() == before


def test_who_comes_back_to_a_page_finds_it_as_on_file(opened, tmp_path):
    report = report_of("alder-creek-fifth-wheel")
    file = tmp_path / "report.html"
    file.write_text(pages.html(report, what_if=what_if(report)), "utf-8")
    page = opened(file)
    before = page.locator("body").inner_text()
    page.evaluate(SET, ["dial-2", "100"])
    choose(page, "metric")
    page.evaluate("document.getElementById('as-read').elements.words.value = 'gb'")
    page.goto("about:blank")
    page.go_back()
    assert page.locator("body").inner_text() == before
    assert page.locator("#as-read select[name=units]").input_value() == ""
    assert page.locator("#as-read select[name=words]").input_value() == ""


def test_units_can_be_put_back(opened):
    page = opened(pages.html(report_of("alder-creek-fifth-wheel")))
    before = page.locator("main").inner_text()
    choose(page, "metric")
    assert page.locator("main").inner_text() != before
    choose(page, "")
    assert page.locator("main").inner_text() == before


def test_a_page_without_dials_has_no_such_part(opened):
    page = opened(pages.html(report_of("misty-lane-thin"), what_if=what_if(report_of("misty-lane-thin"))))
    assert page.locator("#what-if").count() == 0
