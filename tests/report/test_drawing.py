"""The drawing of whole rigs: what is drawn, what is said of it, and what is not drawn as if it were known."""

from pathlib import Path

import html5lib
import pytest
from markup import as_shown

from rigmargin.judge.run import judge
from rigmargin.loads.value import nominal
from rigmargin.report import pages
from rigmargin.report.display import UP, display
from rigmargin.report.drawing import drawing
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import load, parse

FOLDER = Path(__file__).parents[2] / "specs_examples"
EXAMPLES = sorted(FOLDER.glob("*.yaml"))
PICTURE = ".//{http://www.w3.org/2000/svg}svg"
TOO_LITTLE = {"misty-lane-thin"}


def example(name):
    return judge(load(FOLDER / f"{name}.yaml"))


def made(text):
    return judge(parse(text, "test.yaml"))


def words(drawn):
    return "\n".join([*(f"{e.key} {e.text}" for e in (*drawn.loads, *drawn.places)), *drawn.said])


def section(html):
    page = html5lib.HTMLParser(namespaceHTMLElements=False, strict=True).parse(as_shown(html))
    return next(each for each in page.iter("section") if each.attrib.get("class") == "drawing")


BARE = """
rig: 1
name: bare
tow_vehicle:
  kind: car
  wheelbase: 2.7 m
  coupling_behind_rear_axle: 1.1 m
coupling: {kind: european_ball}
trailer:
  kind: utility
  axles: {three: {number: 3, max_load: 1000 kg, tyres: {size: 185R14C, count: 4}}}
  load: {stone: {mass: 500 kg, at: 2 m}, sand: {mass: 80 kg}, left at home: {mass: 33 kg, at: 1 m, aboard: no}}
"""


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_example_is_drawn_or_says_what_to_measure(path):
    report = judge(load(path))
    drawn = drawing(report)
    part = section(pages.html(report))
    if path.stem in TOO_LITTLE:
        assert drawn.shapes is None
        assert part.find(PICTURE) is None
        assert drawn.said == (
            "Too little is stated to draw this rig to scale. Measure the wheelbase, the distance from the rear axle to the "
            "coupling and the distance from the coupling to the middle of the trailer's axles.",
        )
    else:
        assert len(part.findall(PICTURE)) == 1
        assert part.find(PICTURE).attrib["aria-label"] == drawn.title
    text = " ".join("".join(part.itertext()).split())
    for line in (*(e.text for e in (*drawn.loads, *drawn.places)), *drawn.said):
        assert " ".join(line.split()) in text


@pytest.mark.parametrize("path", [p for p in EXAMPLES if p.stem not in TOO_LITTLE], ids=lambda p: p.stem)
def test_the_words_name_every_load_drawn_with_its_limit(path):
    report = judge(load(path))
    drawn, shown = drawing(report), display(report.rig)
    letters = {label.text.removesuffix("?") for label in drawn.shapes.letters}
    assert letters == {e.key for e in drawn.loads if e.key != "–"}
    state = "coupled_distributing" if drawn.slack else "coupled"
    for name in ("tow_vehicle.axles.front", "tow_vehicle.axles.rear", "coupling.vertical"):
        known = report.facts.loads.get((name, state)) or report.facts.loads[name, "coupled"]
        line = next(e.text for e, path in zip(drawn.loads, ("front", "rear", "vertical"), strict=False) if name.endswith(path))
        if known.best is None:
            assert line.endswith(": load not known")
            continue
        assert shown.number(nominal(known.best.value), "mass", UP) in line
        limits = [
            f.high
            for f in report.findings
            if f.estimate is known.best
            and f.dimension == "mass"
            and f.high is not None
            and not f.other[0]
            and f.low is None
            and f.load == nominal(known.best.value)  # and not what one side's tyre carries of it
        ]
        assert f"limit {shown.number(min(limits), 'mass', 'down')}, " in line


def test_a_fifth_wheel_in_words():
    # Coupling load: 4760 + 5720 lb coupled less 4740 + 3260 lb alone. Fresh water: 60 gal, a third full, 8.33 lb a gallon.
    # A reading to 20 lb is known to 2 x 20 / sqrt(12) = 11.5 lb, four of them to twice that. Two equalized axles share within
    # 10 %: 5050 x 0.1 = 505 lb, with half a reading's 5.8 lb 505.03 lb, rounded up.
    said = words(drawing(example("alder-creek-fifth-wheel")))
    for line in (
        "A Front axle: 4760 lb ± 12 lb, limit 5200 lb, its GAWR: within",
        "B Rear axle: 5720 lb ± 12 lb, limit 6600 lb, its GAWR: within",
        "C Pin weight: 2480 lb ± 24 lb, limit 3500 lb, the king pin's maximum pin weight: within",
        "D Trailer axle 'tandem' (each of 2): 5050 lb ± 506 lb, limit 7000 lb, its GAWR: within",
        "92 in ahead of the rear axle: driver 190 lb, passenger 150 lb",
        "21.0 ft behind the coupling: fresh water 167 lb (33 % full)",
        "wheelbase 13.2 ft; coupling 2 in ahead of the rear axle; from the coupling to the middle of the trailer's axles 23.0",
        "Whether the rig stands level or nose-up is not known; it is drawn level.",
        "How far apart the trailer's axles stand is not stated",
    ):
        assert line in said


def test_a_small_coupling_load_is_drawn_larger_and_says_so():
    # 62 kg, the greater of load and limit, where 1300 kg are 150 long: 7.2; five times that is the first to be 30 or more.
    drawn = drawing(example("linden-caravan"))
    assert drawn.shapes.stretch == 5
    assert "the one on the coupling is drawn 5 times as long" in words(drawn)
    assert next(e.mark for e in drawn.loads if e.key == "C") == "▲"


def test_bars_show_both_states():
    drawn = drawing(example("birch-hollow-travel-trailer"))
    rear = next(e.text for e in drawn.loads if e.key == "B")
    assert rear.startswith("Rear axle (bars tensioned): 3680 lb ± 12 lb, limit 3800 lb")
    assert rear.endswith("With the bars slack: 3960 lb ± 12 lb, over")
    arrow = drawn.shapes.arrows[1]
    assert arrow.tip < arrow.limit < arrow.slack  # tensioned is within, slack is past the bar


def test_a_rig_on_known_springs_stands_nose_up():
    drawn = drawing(example("juniper-flat-before"))
    assert "stands nose-up at a slope of 1.3 % ± 0.3 %; the tow vehicle's rear stands 1.6 in ± 0.5 in lower" in words(drawn)
    assert drawn.shapes.lean


def test_what_is_not_stated_is_dashed_and_said():
    drawn = drawing(made(BARE))
    said = words(drawn)
    assert [known for _, known in drawn.shapes.spines] == [True, True, False]
    assert not any(wheel.known for wheel in drawn.shapes.wheels)
    absent = "the distance from the coupling to the middle of the trailer's axles"
    assert f"Not stated, and drawn dashed at a length that tells nothing: {absent}." in said
    assert "from the coupling to the middle of the trailer's axles 4" not in said
    assert "A Front axle: load not known" in said
    assert "Not drawn, because no place is stated: sand 80 kg." in said
    assert "left at home" not in said
    assert [label.text for label in drawn.shapes.letters] == ["A?", "B?", "D?", "C?"]


def test_one_distance_is_too_little():
    drawn = drawing(made(BARE.replace("  coupling_behind_rear_axle: 1.1 m\n", "")))
    assert drawn.said == (
        "Too little is stated to draw this rig to scale. Measure the distance from the rear axle to the coupling and the "
        "distance from the coupling to the middle of the trailer's axles.",
    )


def test_three_axles_and_dual_wheels():
    drawn = drawing(made(BARE))
    assert [wheel.dual for wheel in drawn.shapes.wheels] == [False, False, True, True, True]
    assert "Double rings are dual wheels." in drawn.said
    assert "car with utility (3 axles)" in drawn.title


def test_wheels_are_as_large_as_their_tyres():
    # LT275/70R18: 18 in of rim and twice 70 % of 275 mm: 457.2 + 385 = 842.2 mm.
    drawn = drawing(example("alder-creek-fifth-wheel"))
    assert drawn.shapes.wheels[0].radius / drawn.shapes.scale == pytest.approx(0.4211, abs=0.001)
    assert [wheel.known for wheel in drawn.shapes.wheels] == [True, True, False, False]


def test_a_lone_axle_is_held_against_the_limit_of_its_group_where_that_is_lower():
    single = BARE.replace("number: 3, ", "") + "  unloaded: {coupling: 40 kg, axles: 400 kg}\n  coupling_to_axle_centre: 3 m\n"
    single = single.replace(", sand: {mass: 80 kg}", "")
    assert "limit 1000 kg, its maximum load: within" in words(drawing(made(single)))
    drawn = drawing(made(f"{single}  gtm: 900 kg\n"))
    assert "limit 900 kg, the limit on its wheels (GTM): within" in words(drawn)
    assert "Not drawn" not in "".join(e.text for e in drawn.loads)


def test_long_names_are_shortened():
    drawn = drawing(made(BARE.replace("stone", "a stone of a length that no picture has room for")))
    assert "2.00 m behind the coupling: a stone of a length that no picture has… 500 kg" in words(drawn)


def test_hostile_names_stay_text(hostile_text):
    source = hostile_text.replace("kind: pickup", "kind: pickup\n  wheelbase: 140 in\n  coupling_behind_rear_axle: 50 in")
    report = judge(parse(source.replace("kind: utility", "kind: utility\n  coupling_to_axle_centre: 10 ft"), "hostile.yaml"))
    part, drawn = section(pages.html(report)), drawing(report)
    assert {each.tag.rpartition("}")[2] for each in part.iter()} == {
        "section", "h2", "h3", "p", "figure", "figcaption", "ul", "li", "b", "span", "svg", "path", "circle",
        "text", "data",
    }  # fmt: skip
    assert not any(name.startswith("on") or name in ("href", "src") for each in part.iter() for name in each.attrib)
    said = " ".join("".join(part.itertext()).split())
    (item,), (left_out,) = ([each.name for each in items] for items in (report.rig.tow_items, report.rig.trailer_items))
    assert " ".join(drawn.places[0].text.split()) in said
    for name in (item, left_out):
        assert " ".join(printable(name)[:39].split()) in said


def test_an_axle_whose_tyres_are_over_is_not_drawn_as_within():
    """The wheel of one side is past what its tyre carries as inflated, while the axle's own limit is kept."""
    drawn = drawing(example("fern-bank-tyres"))
    line = next(entry for entry in drawn.loads if "tandem" in entry.text)
    assert line.mark == "▲"
    assert "its GAWR: within" in line.text
    assert line.text.endswith(": over")


def test_what_the_law_allows_on_a_road_is_no_axles_own_limit():
    """A US rig that states no limit of its rear axle: the road's 20000 lb are not drawn as one."""
    text = """
rig: 1
name: no axle limits
places: [us]
tow_vehicle: {gvwr: 9900 lb, wheelbase: 150 in, coupling_behind_rear_axle: 48 in}
coupling: {kind: weight_carrying}
trailer: {gvwr: 6000 lb, coupling_to_axle_centre: 18 ft}
weighings:
  - {state: alone, front: 4180 lb, rear: 4760 lb, increment: 20 lb}
  - {state: coupled, front: 4000 lb, rear: 5400 lb, trailer_axles: 5120 lb, increment: 20 lb}
date: 2026-07-04
"""
    rear = next(entry for entry in drawing(made(text)).loads if "Rear axle" in entry.text)
    assert rear.text == "Rear axle: 5400 lb ± 12 lb; no limit of its own is known"
    assert rear.mark == "?"
