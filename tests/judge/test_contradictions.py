"""Evidence that contradicts itself, or that is missing people, never ends in "within"."""

import json

import pytest
from rigs import BARE, merged, rig

from rigmargin.judge.run import judge
from rigmargin.loads.derive import loads
from rigmargin.loads.value import nominal
from rigmargin.report.display import display
from rigmargin.report.words import sentence
from rigmargin.spec.rig import parse

POUND = 0.45359237
STEP = {"increment": "20 lb"}
ALONE = {"state": "alone", "front": "3300 lb", "rear": "3280 lb", **STEP}
COUPLED = {"state": "coupled", "front": "3200 lb", "rear": "4100 lb", "trailer_axles": "4900 lb", **STEP}
JACK = {"state": "trailer_on_jack", "coupling": "560 lb", **STEP}
WHOLE = {"state": "trailer_alone", "all": "5460 lb", **STEP}


def found(one, rule, subject):
    return next(f for f in one.findings if (f.rule, f.subject) == (rule, subject))


def said(one, rule, subject):
    return sentence(found(one, rule, subject), one.rig, display(one.rig))


def test_two_weighings_that_would_give_different_verdicts_give_none():
    # on the jack 560 lb; coupled less alone 7300 - 6580 = 720 lb: limit 600 lb
    one = judge(
        rig(
            tow_vehicle={"max_coupling_load": "600 lb"},
            trailer={"gvwr": "5500 lb"},
            weighings=[ALONE, COUPLED, JACK, WHOLE],
        )
    )
    assert found(one, "coupling-vertical", "tow_vehicle").verdict == "conflict"
    text = said(one, "coupling-vertical", "tow_vehicle")
    assert "560 lb (read on its own scale) but 720 lb (tow vehicle coupled less alone)" in text
    assert "nothing is decided" in text
    # 5460 lb by itself; 12200 - 6580 = 5620 lb by difference: limit 5500 lb
    assert found(one, "trailer-gross", "trailer").verdict == "conflict"
    assert found(one, "weighings-agree", "coupling").verdict == "conflict"
    assert found(one, "weighings-agree", "trailer").verdict == "conflict"


def test_a_contradiction_that_changes_no_verdict_is_told_and_the_verdict_stands():
    one = judge(rig(tow_vehicle={"max_coupling_load": "500 lb"}, weighings=[ALONE, COUPLED, JACK]))
    assert found(one, "coupling-vertical", "tow_vehicle").verdict == "over"
    assert found(one, "weighings-agree", "coupling").verdict == "conflict"


@pytest.mark.parametrize(
    ("reading", "subject", "rule", "verdict"),
    [
        ({"tow_vehicle": "9000 lb"}, "tow_vehicle", "tow-vehicle-gross", "conflict"),
        ({"tow_vehicle": "7300 lb"}, "tow_vehicle", "tow-vehicle-gross", "within"),
        ({"all": "15000 lb"}, "tow_vehicle", "combination-gross", "conflict"),
        ({"all": "12200 lb"}, "tow_vehicle", "combination-gross", "within"),
        ({"rear_left": "2600 lb", "rear_right": "2600 lb"}, "tow_vehicle.axles.rear", "axle-load", "conflict"),
        ({"rear_left": "2040 lb", "rear_right": "2060 lb"}, "tow_vehicle.axles.rear", "axle-load", "within"),
    ],
)
def test_parts_and_totals_of_one_ticket(reading, subject, rule, verdict):
    limits = {"gvwr": "8000 lb", "gcwr": "14000 lb", "axles": {"rear": {"gawr": "4800 lb"}}}
    one = judge(rig(tow_vehicle=limits, weighings=[{**COUPLED, **reading}]))
    assert found(one, rule, subject).verdict == verdict
    told = [f for f in one.findings if f.rule == "weighings-agree" and f.verdict == "conflict"]
    assert bool(told) == (verdict == "conflict")


def test_a_total_that_contradicts_the_parts_alone_is_told():
    one = judge(rig(weighings=[{**ALONE, "all": "6900 lb"}]))
    assert found(one, "weighings-agree-alone", "tow_vehicle").verdict == "conflict"


def test_two_passes_of_one_day_are_read_as_one_ticket():
    day = {"on": "2026-05-01"}
    axles = {"state": "coupled", "front": "3200 lb", "rear": "4100 lb", **STEP, **day}
    one = rig(weighings=[axles, {"state": "coupled", "trailer_axles": "4900 lb", **STEP, **day}])
    assert nominal(loads(one)["combination.gross", "coupled"].best.value) == pytest.approx(12200 * POUND)
    assert found(judge(one), "weighings-used", "tow_vehicle").verdict == "not_applicable"


def test_a_ticket_that_gave_way_is_named():
    old = {**COUPLED, "on": "2026-05-01", "rear": "5000 lb"}
    one = judge(rig(weighings=[old, {**COUPLED, "on": "2026-07-01"}]))
    assert found(one, "weighings-used", "tow_vehicle").verdict == "note"
    assert "weighings[0] gave way to a later one" in said(one, "weighings-used", "tow_vehicle")


MEASURES = {"wheelbase": "140 in", "coupling_behind_rear_axle": "50 in"}
EMPTY = {"unloaded": {"front": "3000 lb", "rear": "2500 lb", "source": "scale_ticket"}, **MEASURES}
TRAILER = {
    "gvwr": "6000 lb",
    "coupling_to_axle_centre": "200 in",
    "unloaded": {"coupling": "400 lb", "axles": "3600 lb", "source": "scale_ticket"},
}
LIMITS = {"gvwr": "8000 lb", "gcwr": "14000 lb", "payload": "1500 lb", "axles": {"rear": {"gawr": "4800 lb"}}}
DRIVER = {"driver": {"mass": "180 lb", "at": "50 in", "person": "yes"}}


@pytest.mark.parametrize(("people", "verdict"), [({}, "not_checked"), (DRIVER, "within")])
def test_a_vehicle_with_nobody_listed_is_not_within(people, verdict):
    vehicle = {**EMPTY, **LIMITS, "load": people}
    one = judge(rig(tow_vehicle=vehicle, coupling={"hardware_mass": "30 lb"}, trailer=TRAILER))
    for rule, subject in (
        ("tow-vehicle-gross", "tow_vehicle"),
        ("payload", "tow_vehicle"),
        ("combination-gross", "tow_vehicle"),
        ("axle-load", "tow_vehicle.axles.rear"),
    ):
        finding = found(one, rule, subject)
        assert finding.verdict == verdict, rule
        if not people:
            assert "nobody is listed in tow_vehicle.load" in finding.reason
            assert [m.path for m in finding.missing] == ["tow_vehicle.load"]


def test_a_vehicle_over_its_limit_with_nobody_aboard_is_over():
    vehicle = {**EMPTY, **LIMITS, "gvwr": "5500 lb"}
    one = judge(rig(tow_vehicle=vehicle, coupling={"hardware_mass": "30 lb"}, trailer=TRAILER))
    assert found(one, "tow-vehicle-gross", "tow_vehicle").verdict == "over"


def test_a_trailer_of_which_nobody_says_what_it_carries_is_not_within():
    text = """
rig: 1
name: a trailer
tow_vehicle: {}
coupling: {kind: weight_carrying}
trailer:
  gvwr: 6000 lb
  coupling_to_axle_centre: 200 in
  unloaded: {coupling: 400 lb, axles: 3600 lb, source: scale_ticket}
"""
    one = judge(parse(text, "a.yaml"))
    assert found(one, "trailer-gross", "trailer").verdict == "not_checked"
    assert "nothing is listed in trailer.load" in found(one, "trailer-gross", "trailer").reason
    assert loads(one.rig)["coupling.vertical", "coupled"].best is None
    empty = judge(parse(text + "  load: {}\n", "a.yaml"))
    assert found(empty, "trailer-gross", "trailer").verdict == "within"


def test_a_list_that_the_scale_contradicts_is_not_believed():
    # the list: 180 + 30 + 400 = 610 lb; the scale: 7980 - 6400 = 1580 lb. Payload 1500 lb
    vehicle = {"payload": "1500 lb", "gvwr": "8000 lb", "load": DRIVER, **MEASURES}
    vehicle["unloaded"] = {"total": {"value": "6400 lb", "plus_or_minus": "20 lb", "source": "manual"}}
    tickets = [{**ALONE, "front": "3900 lb", "rear": "3680 lb"}, {**COUPLED, "front": "3700 lb", "rear": "4280 lb"}]
    one = judge(rig(tow_vehicle=vehicle, coupling={"hardware_mass": "30 lb"}, weighings=tickets))
    finding = found(one, "payload", "tow_vehicle")
    assert finding.verdict == "conflict"
    assert "loaded mass less the unloaded mass" in said(one, "payload", "tow_vehicle")


def without_trailer_list(**parts):
    """A rig whose file does not list what the trailer carries."""
    content = merged(BARE, parts)
    del content["trailer"]["load"]
    return parse(json.dumps(content), "test.yaml")


def test_a_share_of_a_trailer_that_may_be_heavier_is_not_known():
    # 600 of 5000 lb is 12 %, outside 13 to 20 %; but what the trailer carries is not listed, so that it may weigh anything more
    one = without_trailer_list(
        tow_vehicle={"coupling_share_band": {"low": "13 %", "high": "20 %"}},
        trailer={"unloaded": {"coupling": "600 lb", "axles": "4400 lb", "source": "scale_ticket"}},
        weighings=[JACK],
    )
    assert one.names.get("trailer.load") is None
    assert loads(one)["trailer.gross", "coupled"].best.at_least
    share = loads(one)["coupling.share", "coupled"]
    assert share.best is None
    assert share.items == ("trailer.load",)
    told = next(f for f in judge(one).findings if f.rule == "coupling-share")
    assert told.verdict == "not_checked"
    assert "trailer.load" in {path for m in told.missing for path in (m.path, *m.instead)}


CREW = {"driver": {"mass": "190 lb", "at": "92 in", "person": "yes"}}
WEIGHED_EMPTY = {"front": "3000 lb", "rear": "2400 lb", "source": "scale_ticket"}
LEVERS = {"wheelbase": "140 in", "coupling_behind_rear_axle": "50 in"}


def test_a_person_left_behind_does_not_make_the_list_whole():
    def alone(aboard):
        crew = merged(CREW, {"driver": {"aboard": aboard}})
        one = rig(tow_vehicle={**LEVERS, "unloaded": WEIGHED_EMPTY, "load": crew}, coupling={"hardware_mass": "20 lb"})
        return loads(one)["tow_vehicle.gross", "alone"].best

    assert alone("no").at_least
    assert not alone("yes").at_least


def test_a_bound_does_not_contradict_a_ticket():
    def disagreement(crew):
        one = rig(
            tow_vehicle={**LEVERS, "unloaded": WEIGHED_EMPTY, "load": crew},
            coupling={"hardware_mass": "20 lb"},
            weighings=[COUPLED, JACK],
        )
        return {f.verdict for f in judge(one).findings if f.rule == "weighed-agrees-computed" and f.subject == "tow_vehicle"}

    # from the list 3000 + 2400 + 20 + 560 lb at least, nobody being listed; weighed 7300 lb
    assert disagreement({}) == {"not_applicable"}
    # with a crew of 190 lb the list claims to be whole, and 1130 lb are missing from it
    assert disagreement(CREW) == {"conflict"}
