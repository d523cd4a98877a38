"""Reports in the words and units of a region: each word stands beside its source, and none of another region slips in."""

import dataclasses
import html
import re
from pathlib import Path

import pytest

from rigmargin.advice import headroom as advice
from rigmargin.cli import main
from rigmargin.judge import plugins
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge
from rigmargin.report import headroom, json, pages, sheet, terminal
from rigmargin.report.display import display
from rigmargin.report.regional import Regional, regional, said
from rigmargin.report.view import view
from rigmargin.spec import words
from rigmargin.spec.rig import load, parse
from rigmargin.spec.settings import NONE
from rigmargin.start import regional as start

TOP = Path(__file__).parents[2]
EXAMPLES = sorted((TOP / "specs_examples").glob("*.yaml"))
RULES = plugins.load()
RIG = """
rig: 1
name: Plain
places: [{places}]
date: 2026-07-04
tow_vehicle: {{kind: {tow}, max_mass: 3000 kg, unloaded: {{total: 2000 kg}}, axles: {{rear: {{max_load: 1700 kg}}}}}}
coupling: {{kind: {coupling}}}
trailer: {{kind: {trailer}, max_mass: 2000 kg, max_axle_group_load: 1800 kg}}
weighings:
  - {{state: alone, front: 1200 kg, rear: 1100 kg, increment: 20 kg}}
  - {{state: coupled, front: 1140 kg, rear: 1260 kg, trailer_axles: 1500 kg, increment: 20 kg}}
"""


def _rig(places="", tow="pickup", coupling="weight_carrying", trailer="utility", **more):
    return parse(RIG.format(places=places, tow=tow, coupling=coupling, trailer=trailer), "plain.yaml", **more)


# What each region calls a thing. The source of each word stands in words.csv; the rows here were copied from these sources:
# 49 CFR 571.3 (GVWR, GAWR), 49 CFR 383.5 (GCWR), SAE J684 as states print it (tongue weight); the caravan industry's British
# guide (noseweight, MTPLM, MIRO), British government text on licences (maximum authorised mass); certificate of conformity
# (entries 16.1, 16.2, 16.4, 19); the Australian department's notice (ATM), the caravan industry's guides (GVM, GCM, GTM).
@pytest.mark.parametrize(
    ("places", "coupling_load", "tow_max", "together", "trailer_max", "axle", "group", "tyres"),
    [
        ("us-tx", "tongue weight", "GVWR", "GCWR", "GVWR", "GAWR", "limit on its wheels", "tires"),
        ("ca-on", "tongue weight", "GVWR", "GCWR", "GVWR", "GAWR", "limit on its wheels", "tires"),
        (
            "gb", "noseweight", "maximum authorised mass", "gross train weight", "maximum authorised mass", "maximum load",
            "limit on its wheels", "tyres",
        ),
        (
            "ie", "noseweight", "maximum authorised mass", "gross train weight", "maximum authorised mass", "maximum load",
            "limit on its wheels", "tyres",
        ),
        (
            "de", "static vertical load", "technically permissible maximum laden mass",
            "technically permissible maximum mass of the combination", "technically permissible maximum laden mass",
            "technically permissible maximum mass on the axle", "limit on its wheels", "tyres",
        ),
        ("au-nsw", "tow ball load", "GVM", "GCM", "ATM", "maximum load", "GTM", "tyres"),
        ("nz", "tow ball load", "GVM", "GCM", "ATM", "maximum load", "GTM", "tyres"),
        (
            "", "coupling load", "maximum mass", "maximum combination mass", "maximum mass", "maximum load",
            "limit on its wheels", "tyres",
        ),
        (
            "jp", "coupling load", "maximum mass", "maximum combination mass", "maximum mass", "maximum load",
            "limit on its wheels", "tyres",
        ),
    ],
)  # fmt: skip
def test_each_region_has_its_words(places, coupling_load, tow_max, together, trailer_max, axle, group, tyres):
    rig = _rig(places)
    own = regional(rig)
    terms = ("coupling_load", "tow_max_mass", "max_combination_mass", "trailer_max_mass", "axle_limit", "axle_group_limit")
    assert [own.word(term) for term in terms] == [coupling_load, tow_max, together, trailer_max, axle, group]
    assert own.word("tyre", "words") == tyres
    texts = " ".join(row.text for row in view(judge(rig, RULES)).rows)
    for sentence in (
        f"The loaded tow vehicle, 2400 kg ± 17 kg, is within its {tow_max}, 3000 kg; 600 kg remain.",  # 1140 + 1260
        f"The load on the rear axle, 1260 kg ± 12 kg, is within its {axle}, 1700 kg; 440 kg remain.",
        f"The load on the trailer's own wheels, 1500 kg ± 12 kg, is within the {group}, 1800 kg; 300 kg remain.",
        f"The {coupling_load} was not checked",
    ):
        assert sentence in texts


@pytest.mark.parametrize(
    ("places", "tow", "coupling", "trailer", "term", "word"),
    [
        ("us", "pickup", "fifth_wheel", "fifth_wheel", "coupling_load", "pin weight"),
        ("ca", "pickup", "gooseneck", "gooseneck", "coupling_load", "pin weight"),
        ("au", "pickup", "fifth_wheel", "fifth_wheel", "coupling_load", "coupling load"),  # it has no ball
        ("gb", "car", "european_ball", "caravan", "trailer_max_mass", "MTPLM"),
        ("gb", "car", "european_ball", "caravan", "trailer_unloaded", "mass in running order"),
        ("gb", "car", "european_ball", "caravan", "tow_vehicle", "tow car"),
        ("gb", "van", "european_ball", "caravan", "tow_vehicle", "tow vehicle"),
        ("gb", "car", "european_ball", "travel_trailer", "travel_trailer", "caravan"),
        ("us", "car", "weight_carrying", "caravan", "caravan", "travel trailer"),
    ],
)
def test_a_word_turns_on_the_kind_of_rig(places, tow, coupling, trailer, term, word):
    assert regional(_rig(places, tow, coupling, trailer)).word(term) == word


def test_the_first_place_decides_and_settings_go_before_it():
    assert regional(_rig("gb, us")).region == "gb"
    assert regional(_rig("us, gb")).region == "us"
    chosen = dataclasses.replace(_rig("us"), settings=dataclasses.replace(NONE, words="au"))
    assert regional(chosen).word("coupling_load") == "tow ball load"
    plain = dataclasses.replace(_rig("us"), settings=dataclasses.replace(NONE, words="neutral"))
    assert regional(plain).word("coupling_load") == "coupling load"


def test_a_mark_is_filled_in_the_form_that_it_asks_for_and_what_is_none_of_ours_stays():
    own = Regional("us")
    assert own.fill("{Word:tyre}, {word:tyre}, {words:tyre}, {Words:tyre}") == "Tire, tire, tires, Tires"
    for text in ("{word:no_such_term}", "{word}", "{words", "{mass:12.5}", "word: {subject}"):
        assert own.fill(text) == text
    assert said({"a": ["{word:tyre}", 1, None]}, own) == {"a": ["tire", 1, None]}


def test_a_schemas_text_is_marked_before_anything_of_a_rig_is_in_it():
    assert words.marked("Tyres of the tow vehicle") == "{Words:tyre} of the {word:tow_vehicle}"
    for path in ("trailer.axles.rear.tyres.size", "tyre_age", "tyre-age", "my.tyre.x"):
        assert words.marked(path) == path or "-" in path
    assert words.marked("maximum coupling load") == "{word:max_coupling_load}"


#: Words of North America, and of those who say tyre.
AMERICAN = ("tire", "tires", "tongue", "pin weight", "curb", "GVWR", "GAWR", "GCWR", "hood")
OVERSEAS = ("tyre", "tyres", "noseweight", "kerb", "GVM", "GCM", "train weight", "MIRO", "tow ball", "bonnet", "handbook")
OTHERS = {  # words that a reader of the region's reports is not to meet, but where the file or a source is quoted
    "us": (*OVERSEAS, "moulded"),
    "ca": OVERSEAS,
    "gb": (*AMERICAN, "GVM", "tow ball", "molded"),
    "eu": (*AMERICAN, "GVM", "noseweight", "tow ball"),
    "au": (*AMERICAN, "noseweight", "MIRO", "train weight"),
    "neutral": (*AMERICAN, "noseweight", "GVM", "tow ball", "train weight"),
}
#: Guidance that is quoted with its body; and what a schema says of the labels of several places to a reader of no region.
QUOTED = re.compile(
    r"British Tyre Manufacturers' Association, trailer and caravan tyres|"
    r"Tire and Rim Association"
)
LABELS = re.compile(r"\((?:GVWR|GAWR|GCWR|tongue weight, S value[^)]*)\)|in Europe as MTPLM or MAM|in Australia as \w+")


def _foreign(text, rig, region):
    """The words of other regions in a text, but for what the file itself says: names, paths, its own label words."""
    own = [
        rig.name,
        rig.file,
        *(name for names in rig.names.values() for name in names),
        *(i.name for i in (*rig.tow_items, *rig.trailer_items)),
    ]
    for label in set(rig.words.values()):
        own += [f"({label.upper()})", f"({label.replace('_', ' ')})"]
    for each in sorted(own, key=len, reverse=True):
        text = text.replace(each, " ")
    for rule in RULES.rules:
        text = text.replace(rule.id, " ")
    text = LABELS.sub(" ", text) if region == "neutral" else text
    text = re.sub(r"\S*[._\[/]\S*\w", " ", QUOTED.sub(" ", text))  # paths
    return {word for word in OTHERS[region] if re.search(rf"\b{re.escape(word)}\b", text, re.IGNORECASE)}


def _printed(report):
    from io import StringIO

    from rich.console import Console

    console = Console(file=StringIO(), width=200)
    terminal.show(view(report), console)
    return console.file.getvalue()


@pytest.mark.parametrize("region", OTHERS)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_no_word_of_another_region_is_said_of_any_example(path, region):
    rig = load(path, dataclasses.replace(NONE, words=region))
    report = judge(rig, RULES)
    ours = [finding for finding in report.findings if not finding.rule.startswith("law/")]
    report = dataclasses.replace(report, findings=tuple(ours))  # law speaks in its own words
    page = re.sub(r"<(style|script)\b.*?</\1>|<[^>]+>", " ", pages.html(report), flags=re.DOTALL)
    texts = {
        "terminal": _printed(report),
        "html": html.unescape(page),
        "markdown": html.unescape(pages.markdown(report)),
        "sheet": html.unescape(sheet.markdown(report)),
    }
    for kind, text in texts.items():
        assert not re.search(r"\{\s*words?\s*:", text, re.IGNORECASE), kind
        assert _foreign(text, rig, region) == set(), kind
    assert not re.search(r"\{words?:", json.render(report), re.IGNORECASE)


MARKS = ("verified", "second hand", "common practice", "memory")


def _strings(thing):
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, Rule):
        yield from (thing.title, thing.basis, thing.quantity, thing.limit_name, thing.unless, *thing.cures)


def test_every_mark_in_the_rules_names_a_term():
    marks = [m for rule in RULES.rules for text in _strings(rule) for m in re.findall(r"\{[Ww]ords?:(\w+)\}", text)]
    assert len(marks) > 40
    assert set(marks) <= set(words.every())
    for path in [*(TOP / "rules").glob("*.py"), *(TOP / "src" / "rigmargin").rglob("*.py"), *(TOP / "src").rglob("acts.csv")]:
        if path.name not in ("words.py", "regional.py", "drawing_words.py"):
            assert set(re.findall(r"\{[Ww]ords?:([a-z_]+)\}", path.read_text("utf-8"))) <= set(words.every()), path


def test_every_word_has_a_source_and_says_how_well_it_is_known():
    for term, each in words.every().items():
        assert [word for word in each if words.NEUTRAL in word.regions], term
        for word in each:
            assert word.one and word.many and word.source and word.mark in MARKS
            assert set(word.regions) <= {words.NEUTRAL, *words.REGIONS}


def test_an_article_never_stands_before_a_word_that_begins_as_another_does():
    """ "a" and "an" cannot be told before a region's word is in: no text puts one there where the words differ in it."""
    vowels = {
        term for term, each in words.every().items() for word in each if word.one[0] in "aeiouAEIOU" or word.one[:1] == "M"
    }
    for path in [*(TOP / "rules").glob("*.py"), *(TOP / "src" / "rigmargin").rglob("*.py")]:
        for term in re.findall(r"\b[Aa]n? \{+word:([a-z_]+)\}", path.read_text("utf-8")):
            assert term not in vowels, (path, term)


@pytest.mark.parametrize("place", ["us", "ca", "gb", "ie", "de", "au", "nz", ""])
def test_questions_and_reports_say_the_same_word(place):
    rig = _rig(place)
    known = {"place": place, "coupling.kind": "weight_carrying", "trailer.kind": "utility", "tow_vehicle.kind": "pickup"}
    for field, term in words.terms().items():
        asked = start.word(field, lambda path: known.get(path, ""))
        assert asked.one == regional(rig).word(term)
    assert (
        start.spelt("The tyres of the tow vehicle", known.get)
        == f"The {regional(rig).word('tyre', 'words')} of the tow vehicle"
    )


def test_the_owners_own_label_word_stands_beside_the_regions_where_it_is_another():
    text = RIG.replace("max_mass: 3000 kg", "{label}: 3000 kg")
    for places, label, shown in (
        ("us", "gvwr", "its GVWR, 3000 kg"),
        ("us", "gvm", "its GVWR (GVM), 3000 kg"),
        ("gb", "mam", "its maximum authorised mass (MAM), 3000 kg"),
        ("", "gvwr", "its maximum mass (GVWR), 3000 kg"),
    ):
        rig = parse(
            text.format(places=places, tow="pickup", coupling="weight_carrying", trailer="utility", label=label), "plain.yaml"
        )
        assert any(shown in row.text for row in view(judge(rig, RULES)).rows), label


def test_what_the_regional_words_mean_stands_under_the_report_and_nothing_where_there_are_none():
    report = judge(_rig("au"), RULES)
    meant = dict(view(report).glossary)
    assert meant["gross vehicle mass (GVM)"] == "maximum mass of the tow vehicle"
    assert meant["gross trailer mass (GTM)"] == "the trailer's limit on its wheels"
    assert meant["tow ball load"] == "coupling load: what the trailer's coupling presses down with"
    assert '<section id="glossary">' in pages.html(report) and "Words used here" in pages.markdown(report)
    plain = judge(_rig(), RULES)
    assert view(plain).glossary == () and "Words used here" not in pages.markdown(plain)
    assert '<section id="glossary" hidden>' in pages.html(plain)


# Habits: United States psi and mph; Canada, Australia, New Zealand kPa; the European Union bar; the United Kingdom psi
# beside bar and mph although masses are in kg (common practice, and road law for the speeds).
# 250 kPa = 36.26 psi, rounded to the nearest; 25 m/s = 90 km/h = 55.9 mph; 2 m = 78.7 in.
@pytest.mark.parametrize(
    ("places", "pressure", "speed", "length"),
    [
        ("us", "36 psi", "56 mph", "79 in"),
        ("ca", "250 kPa", "90 km/h", "2.00 m"),
        ("gb", "36 psi (2.50 bar)", "56 mph", "2.00 m"),
        ("ie", "36 psi (2.50 bar)", "90 km/h", "2.00 m"),
        ("de", "2.50 bar", "90 km/h", "2.00 m"),
        ("au", "250 kPa", "90 km/h", "2.00 m"),
        ("nz", "250 kPa", "90 km/h", "2.00 m"),
        ("", "2.50 bar", "90 km/h", "2.00 m"),
    ],
)
def test_units_that_a_file_does_not_tell_are_those_of_the_region(places, pressure, speed, length):
    shown = display(_rig(places))  # its masses are in kg
    assert shown.number(1000, "mass") == "1000 kg"
    assert shown.number(250e3, "pressure") == pressure
    assert shown.number(25, "speed") == speed
    assert shown.number(2, "length") == length
    assert display(_rig(places), "metric").number(25, "speed") == "90 km/h"
    assert display(_rig(places), "us").number(250e3, "pressure") == "36 psi"


def test_a_unit_that_the_file_states_wins_over_the_habit():
    text = RIG.format(places="gb", tow="car", coupling="european_ball", trailer="caravan")
    bars = text.replace("rear: {max_load", "rear: {tyres: {cold_pressure: 2.5 bar}, max_load")
    assert display(parse(bars, "plain.yaml")).number(250e3, "pressure") == "2.50 bar"
    kilometres = f"{text}trip: {{top_speed: 90 km/h}}\n"
    assert display(parse(kilometres, "plain.yaml")).number(25, "speed") == "90 km/h"
    both = display(parse(bars, "plain.yaml"), "both")
    assert (both.number(1000, "mass"), both.number(25, "speed")) == ("1000 kg (2205 lb)", "56 mph (90 km/h)")


def test_the_command_line_asks_for_words(tmp_path, capsys):
    path = tmp_path / "plain.yaml"
    path.write_text(RIG.format(places="us", tow="car", coupling="european_ball", trailer="caravan"), "utf-8")
    for asked, words_said in (((), "its GVWR"), (("--words", "au"), "its ATM"), (("--words", "neutral"), "its maximum mass")):
        main(["report", str(path), "--to", str(tmp_path / "plain.md"), *asked])
        assert words_said in (tmp_path / "plain.md").read_text("utf-8")
    capsys.readouterr()
    assert main(["settings", str(tmp_path), "--words", "gb"]) == 0
    assert "words gb --words" in " ".join(capsys.readouterr().out.split())


def test_words_change_no_figure_no_verdict_and_no_id():
    for path in EXAMPLES[:3]:
        found = []
        for region in ("us", "gb", "au", "neutral"):
            report = judge(load(path, dataclasses.replace(NONE, words=region)), RULES)
            found.append([(f.rule, f.subject, f.verdict, f.load, f.limit and f.limit.path) for f in report.findings])
        assert all(each == found[0] for each in found)


def test_advice_is_given_in_the_same_words():
    wattle = next(path for path in EXAMPLES if path.stem == "wattle-dual-cab")
    for region, said_there, not_said in (("au", "the GCM", "train weight"), ("gb", "the gross train weight", "the GCM")):
        report = judge(load(wattle, dataclasses.replace(NONE, words=region)), RULES)
        text = html.unescape(headroom.markdown(advice.headroom(report, RULES), "rig"))
        assert said_there in text and not_said not in text
