"""Couplings and hitches against worked examples: UN R55, ADR 62, SAE J684 as Maryland adopted it, and statics by hand.

T and W numbers are those of a fact sheet of worked examples; the source of each stands beside it.
"""

import csv
import importlib.resources
import math

import pytest
from rigmargin.rules import proof, reference_forces
from rigmargin.rules.hitch import classes
from rigs import POUND, best, exact, rig

from rigmargin.judge.run import judge
from rigmargin.report.display import Display
from rigmargin.report.words import sentence

LBF = POUND * 9.80665


def found(rule, subject="", **parts):
    """The finding of one rule, on one subject where there are several."""
    report = judge(rig(**parts))
    (finding,) = [f for f in report.findings if f.rule == rule and f.subject.endswith(subject)]
    return finding


# --- D, Dc and V of UN R55, in tonnes and kN ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("vehicle", "trailer", "force"),
    [
        (18, 22, 97.119),  # T1: an engineering-formula page prints 97
        (3.5, 2.0, 12.4855),  # T2: an accessory maker's guide prints 12.50, rounded up
        (18, 18, 88.29),  # T3: a public vehicle-description format prints 88.3
        (18, 14, 77.254),  # T4: a truck maker's glossary gives formula and masses
        (1.530, 1.200, 6.5975),  # T5: masses of an example before the UN working party (Poland, 2019)
    ],
)
def test_d(vehicle, trailer, force):
    assert reference_forces.d_value(vehicle * 1000, trailer * 1000) / 1000 == pytest.approx(force, abs=0.001)


def test_t6_d_of_a_fifth_wheel():
    # T6: a public vehicle-description format prints 123.9 for 26, 34 and 18 t
    assert reference_forces.d_fifth_wheel(26000, 34000, 18000) / 1000 == pytest.approx(123.886, abs=0.001)


def test_t8_dc():
    # T8: the same format prints 70.6 for 18 t, and 12 t on the trailer's axles
    assert reference_forces.d_value(18000, 12000) / 1000 == pytest.approx(70.632, abs=0.001)


@pytest.mark.parametrize(
    ("amplitude", "body", "reach", "tonnes", "force"),
    [
        (1.8, 7.3, 5.2, 12, 42.569),  # T9: the same format prints 42.6
        (2.4, 7.3, 5.2, 12, 56.759),  # T9 without air suspension: by the formula
        (1.8, 5, 6, 10, 18.0),  # T10: an engineering-formula page's rule: 0.694 counts as 1
    ],
)
def test_v(amplitude, body, reach, tonnes, force):
    assert reference_forces.v_value(tonnes * 1000, body, reach, amplitude) / 1000 == pytest.approx(force, abs=0.001)


def test_t12_a_d_of_more_than_g_t_limits_no_trailer():
    # algebra: 9.81 x 3.5 = 34.335 kN is less than 35.0
    assert reference_forces.largest_trailer(3500, 35000) == math.inf
    assert reference_forces.largest_trailer(3500, 34335) == math.inf
    assert math.isfinite(reference_forces.largest_trailer(3500, 34334))


@pytest.mark.parametrize(("vehicle", "trailer"), [(3500, 2000), (18000, 22000), (1530, 1200)])
def test_the_largest_trailer_makes_just_that_d(vehicle, trailer):
    force = reference_forces.d_value(vehicle, trailer)
    assert reference_forces.largest_trailer(vehicle, force) == pytest.approx(trailer)
    pulled = reference_forces.d_fifth_wheel(vehicle, 2 * trailer, vehicle / 2)
    assert reference_forces.largest_semitrailer(vehicle, pulled, vehicle / 2) == pytest.approx(2 * trailer)


def test_t13_a_d_is_no_towed_mass():
    # T13: trade press of 2015: 7.0 kN is not a trailer of 714 kg (7.0 / 9.81 = 0.7136 t). Behind 1500 kg it allows
    # 1500 x 7000 / (14715 - 7000) = 1360.985 kg
    assert reference_forces.largest_trailer(1500, 7000) == pytest.approx(1360.985, abs=0.001)
    parts = {"towbar": {"d": "7.0 kN", "max_towed_mass": "1300 kg"}}
    finding = found(
        "coupling-d-value", coupling={"kind": "european_ball", "parts": parts}, tow_vehicle={"mam": "1500 kg"},
        trailer={"mam": "1300 kg"}, places=["de"],
    )  # fmt: skip
    assert finding.verdict == "within"
    # 9.81 x 1.5 x 1.3 / 2.8 = 6.832 kN
    assert finding.load == pytest.approx(6831.96, abs=0.01)
    assert Display(("metric",)).fill(finding.notes[0]).endswith("up to 1360 kg (maximum mass).")
    assert "is within the towbar's D value, 7.00 kN" in sentence(finding, rig(), Display(("metric",)))


def test_the_weakest_d_is_named():
    parts = {"towbar": {"d": "11.3 kN"}, "coupling head": {"d": "7.1 kN"}, "drawbar": {"d_value": "9.0 kN"}}
    made = {
        "coupling": {"kind": "european_ball", "parts": parts}, "tow_vehicle": {"mam": "2000 kg"}, "trailer": {"mam": "1500 kg"},
    }  # fmt: skip
    # 9.81 x 2 x 1.5 / 3.5 = 8.409 kN
    by = {part: found("coupling-d-value", f".{part}", **made) for part in parts}
    assert {part: f.verdict for part, f in by.items()} == {
        "towbar": "within", "coupling head": "over", "drawbar": "within",
    }  # fmt: skip
    assert [f.weakest_of for f in by.values()] == [0, 3, 0]


# --- SAE J684 as COMAR 11.13.08.04 to .10 has it, and ADR 62 -----------------------------------------------------------------


def pounds(forces):
    return {words: round(force / LBF, 6) for words, force in forces.items()}


def test_w33_a_class_4_coupler_for_7000_lb():
    # COMAR 11.13.08.10: three, one, 1.3 and 1.4 times the rated mass
    assert pounds(proof.coupler_forces(4, 7000 * POUND)) == {
        "pulled": 21000, "pushed": 21000, "to each side": 7000, "upwards": 9100, "downwards": 9800,
    }  # fmt: skip
    assert pounds(proof.coupler_forces(2, 0.0))["pulled"] == 10500


@pytest.mark.parametrize(
    ("rated", "down", "lengthwise", "meanwhile", "side"),
    [
        (5000, 2830, 2680, 750, 1500),  # W34: 0.47 x 5000 + 480; 0.23 x 5000 + 1530; 0.15 x 5000; 0.20 x 5000 + 500
        (3500, 2125, 2335, 525, 1200),  # W35
    ],
)
def test_w34_and_w35_a_carrying_hitch(rated, down, lengthwise, meanwhile, side):
    assert list(pounds(proof.hitch_forces("weight_carrying", rated * POUND)).values()) == [down, lengthwise, meanwhile, side]


@pytest.mark.parametrize(("trailer", "number", "carrying", "distributing"), [(2000, 1, 200, 300), (3500, 2, 300, 500)])
def test_w37_tongue_loads_of_the_light_classes(trailer, number, carrying, distributing):
    # COMAR 11.13.08, table 3
    row = classes()[number]
    assert (float(row["up_to_lb"]), float(row["carrying_lb"]), float(row["distributing_lb"])) == (
        trailer,
        carrying,
        distributing,
    )
    for kind, most in (("weight_carrying", carrying), ("weight_distributing", distributing)):
        for load, verdict in ((most - 1, "within"), (most, "at_limit"), (most + 1, "over")):
            parts = {"receiver": {"class": number}}
            finding = found(
                "coupling-class-vertical", coupling={"kind": kind, "parts": parts},
                coupling_load=exact(f"{load} lb") | {"source": "measured"}, places=["us"],
            )  # fmt: skip
            assert finding.verdict == verdict


@pytest.mark.parametrize(("trailer", "number", "most"), [(5000, 3, 750), (8000, 4, 1200)])
def test_w38_heavier_classes_have_15_percent_on_distributing_hitches_only(trailer, number, most):
    def of(kind, load):
        ticket = {"state": "coupled", "increment": "1 lb", "trailer_axles": exact(f"{trailer - load} lb")}
        return found(
            "coupling-class-vertical", coupling={"kind": kind, "parts": {"receiver": {"class": number}}}, weighings=[ticket],
            coupling_load=exact(f"{load} lb") | {"source": "measured"}, places=["us"],
        )  # fmt: skip

    assert [of("weight_distributing", most + step).verdict for step in (-1, 0, 1)] == ["within", "at_limit", "over"]
    assert of("weight_carrying", 100).verdict == "not_checked"


def test_a_class_never_makes_a_parts_own_figure_known():
    made = {
        "coupling": {"kind": "weight_carrying", "parts": {"receiver": {"class": 2}}},
        "coupling_load": exact("200 lb") | {"source": "measured"},
    }
    by_class = found("coupling-class-vertical", **made)
    assert by_class.verdict == "within"
    assert "class 2 of SAE J684, not the part's own" in by_class.limit_name
    own = found("coupling-vertical", "receiver", **made)
    assert own.verdict == "not_checked"
    assert own.missing[0].path == "coupling.parts.receiver.max_vertical_load"


def test_w39_two_chains_of_4000_lb_behind_7000_lb():
    # COMAR 11.13.08 table 4: each must reach 7000 lb. FMCSA's guidance on 49 CFR 393.70(d), question 2: 8000 together do
    ticket = {"state": "coupled", "increment": "1 lb", "trailer_axles": exact("6300 lb")}
    made = {
        "coupling": {
            "kind": "weight_distributing", "safety_chains": {"fitted": "yes", "number": 2, "strength": "4000 lb"},
        },
        "weighings": [ticket], "coupling_load": exact("700 lb") | {"source": "measured"}, "places": ["us"],
    }  # fmt: skip
    each, together = found("safety-chains-each", **made), found("safety-chains-together", **made)
    assert (each.verdict, each.margin) == ("over", pytest.approx(-3000 * POUND))
    assert (together.verdict, together.margin) == ("within", pytest.approx(1000 * POUND))
    assert "SAE J684" in each.source.basis and "law only where a place says so" in each.source.basis
    assert "49 CFR 393.70(d)" in together.source.basis


def test_t25_adr_62_forces():
    # T25: a forum quoting ADR 62/02 clause 12.3.2 gets 29,400 N for 2000 kg with 9.8 m/s2; 9.81 gives 29,430
    assert proof.adr_forces(2000)["lengthwise both ways"] * 9.8 / 9.81 == pytest.approx(29400)
    assert proof.adr_forces(3500) == {
        "lengthwise both ways": pytest.approx(51502.5), "to each side": pytest.approx(17167.5),
        "up and down": pytest.approx(17167.5),
    }  # fmt: skip


@pytest.mark.parametrize("table", ["coupling_class", "coupling_proof"])
def test_every_row_of_a_standard_has_its_mark_and_source(table):
    text = importlib.resources.files("rigmargin.rules").joinpath("tables", f"{table}.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert rows
    assert all(row["mark"] in ("VERIFIED-ADOPTED", "SECONDARY") and row["source"] for row in rows)


# --- what hangs on the hitch beside the trailer -----------------------------------------------------------------------------

RACK = {
    "tow_vehicle": {
        "wheelbase": exact("120 in"), "coupling_behind_rear_axle": exact("40 in"), "max_coupling_load": "400 lb",
        "load": {"driver": {"mass": exact("200 lb"), "at": "60 in", "person": "yes"},
                 "bike rack": {"mass": exact("100 lb"), "at": exact("-55 in")["value"]}},
    },
    "coupling": {
        "kind": "weight_carrying",
        "parts": {"receiver": {"max_vertical_load": "500 lb", "carries": ["bike rack"], "to_coupling": exact("10 in")},
                  "ball": {"max_vertical_load": "300 lb"}},
    },
    "coupling_load": exact("260 lb") | {"source": "measured"},
}  # fmt: skip


def test_a_bike_rack_shares_the_receiver_by_its_lever():
    # 55 in behind the rear axle is 15 in behind the ball, 25 in behind the pin, where the ball is 10 in: 100 x 25 / 10 = 250 lb
    one = rig(**RACK)
    assert best(one, "coupling.parts.receiver.vertical", unit="lb") == pytest.approx(510)
    receiver = found("coupling-vertical", "receiver", **RACK)
    assert receiver.load / POUND == pytest.approx(510)
    assert "plus what hangs beside it" in receiver.estimate.how
    assert found("coupling-vertical", "ball", **RACK).load / POUND == pytest.approx(260)
    assert found("coupling-vertical", "tow_vehicle", **RACK).load / POUND == pytest.approx(260)


FARTHER = {"ball mount": {"max_vertical_load": "600 lb", "carries": ["bike rack"], "to_coupling": exact("10 in")},
           "ball": {"max_vertical_load": "300 lb"}}  # fmt: skip


def test_what_hangs_farther_out_reaches_every_part_nearer_the_vehicle_by_its_own_lever():
    # 15 in behind the ball; the receiver's pin is 20 in ahead of it: 100 x 35 / 20 = 175 lb; the mount's hold 10 in: 250 lb
    receiver = {"max_vertical_load": "300 lb", "to_coupling": exact("20 in")}
    stinger = {"role": "extension", "reduces_to": "90 %", "max_vertical_load": "600 lb", "to_coupling": exact("15 in")}
    made = {**RACK, "coupling": {"kind": "weight_carrying", "parts": {**FARTHER, "stinger": stinger, "receiver": receiver}}}
    by = {part: found("coupling-vertical", part, **made) for part in ("receiver", "stinger", "ball mount", ".ball")}
    # 15 in and 15 in: 100 x 30 / 15 = 200 lb
    loads = {part: round(f.load / POUND, 6) for part, f in by.items()}
    assert loads == {"receiver": 435, "stinger": 460, "ball mount": 510, ".ball": 260}
    assert by["receiver"].verdict == "over"
    # 90 % of 300 lb
    extension = found("extension-vertical", **made)
    assert (extension.load / POUND, extension.high / POUND, extension.verdict) == (
        pytest.approx(435), pytest.approx(270), "over",
    )  # fmt: skip


def test_without_the_receivers_own_lever_what_hangs_farther_out_leaves_it_not_checked():
    made = {**RACK, "coupling": {"kind": "weight_carrying", "parts": {**FARTHER, "receiver": {"max_vertical_load": "900 lb"}}}}
    receiver = found("coupling-vertical", "receiver", **made)
    assert receiver.verdict == "not_checked"
    assert [m.path for m in receiver.missing] == ["coupling.parts.receiver.to_coupling"]


def test_a_part_of_which_nobody_says_what_it_is_may_bear_what_hangs_beside_it():
    parts = {**FARTHER, "adapter": {"max_vertical_load": "900 lb", "to_coupling": exact("10 in")}}
    adapter = found("coupling-vertical", "adapter", **{**RACK, "coupling": {"kind": "weight_carrying", "parts": parts}})
    assert adapter.verdict == "not_checked"
    assert [m.path for m in adapter.missing] == ["coupling.parts.adapter.role"]


@pytest.mark.parametrize(("parts", "told"), [(FARTHER | {"receiver": {"max_vertical_load": "900 lb"}}, True), ({}, False)])
def test_the_vehicles_own_limit_says_that_it_leaves_out_what_hangs_on_the_hitch(parts, told):
    vehicle = found("coupling-vertical", "tow_vehicle", **{**RACK, "coupling": {"kind": "weight_carrying", "parts": parts}})
    assert vehicle.load / POUND == pytest.approx(260)
    assert any("not counted in the vehicle's own limit" in note for note in vehicle.notes) is told


def test_without_its_lever_nothing_is_said_of_the_receiver():
    parts = {"receiver": {"max_vertical_load": "900 lb", "carries": ["bike rack"]}}
    made = {**RACK, "coupling": {"kind": "weight_carrying", "parts": parts}}
    receiver = found("coupling-vertical", "receiver", **made)
    assert receiver.verdict == "not_checked"
    assert [m.path for m in receiver.missing] == ["coupling.parts.receiver.to_coupling"]


def test_a_rack_left_at_home_weighs_nothing():
    load = {"driver": RACK["tow_vehicle"]["load"]["driver"], "bike rack": {"mass": "100 lb", "at": "-55 in", "aboard": "no"}}
    made = {**RACK, "tow_vehicle": {**RACK["tow_vehicle"], "load": load}}
    assert found("coupling-vertical", "receiver", **made).load / POUND == pytest.approx(260)


def test_an_extension_and_a_rack_share_what_is_left_of_the_receiver():
    parts = {**RACK["coupling"]["parts"], "stinger": {"role": "extension", "reduces_to": "50 %", "max_vertical_load": "400 lb"}}
    made = {**RACK, "coupling": {"kind": "weight_carrying", "parts": parts}}
    halved = found("extension-vertical", **made)
    assert (halved.load / POUND, halved.high / POUND) == pytest.approx((510, 250))
    assert halved.verdict == "over"


# --- how the trailer stands -------------------------------------------------------------------------------------------------


def tandem(nose, *, rate="200 N/mm", spacing="0.9 m", equalized="no"):
    """A trailer of 2000 kg on two axles, 4 m behind a coupling that is ``nose`` mm above level."""
    axle = {"max_load": "1100 kg", "equalized": equalized, "spacing": exact(spacing)}
    if rate:
        axle["rate"] = {"value": rate, "plus_or_minus": f"0 {rate.split()[-1]}"}
    return {
        "coupling": {"kind": "european_ball", "height": exact(f"{450 + nose} mm")},
        "trailer": {"level_height": exact("450 mm"), "coupling_to_axle_centre": exact("4 m"),
                    "axles": {"front": dict(axle), "rear": dict(axle)}},
        "weighings": [{"state": "coupled", "increment": "1 kg", "trailer_axles": exact("2000 kg")}],
    }  # fmt: skip


@pytest.mark.parametrize(("nose", "front", "rear"), [(0, 1000, 1000), (40, 908.226, 1091.774), (-40, 1091.774, 908.226)])
def test_the_nose_decides_which_unequalized_axle_carries_more(nose, front, rear):
    # by hand: 40 mm over 4 m is 0.01; 0.45 m off the middle that is 4.5 mm; 200 N/mm x 4.5 mm / 9.80665 = 91.774 kg
    one = rig(**tandem(nose))
    assert best(one, "trailer.axles.front") == pytest.approx(front, abs=0.001)
    assert best(one, "trailer.axles.rear") == pytest.approx(rear, abs=0.001)


def test_unequal_springs_share_by_their_rates_when_level():
    made = tandem(0)
    made["trailer"]["axles"]["rear"]["rate"] = {"value": "300 N/mm", "plus_or_minus": "0 N/mm"}
    # 2000 x 200 / 500 and 2000 x 300 / 500
    assert best(rig(**made), "trailer.axles.front") == pytest.approx(800)
    assert best(rig(**made), "trailer.axles.rear") == pytest.approx(1200)


def test_the_doubt_of_each_axles_springs_is_its_own_when_level():
    # k1, k2 each known to 25 %: of 2000 kg x 300 / 500, 1200 x 0.4 x sqrt(2) x 25 % = 169.7 kg
    made = tandem(0)
    made["trailer"]["axles"]["rear"] |= {"rate": {"value": "300 N/mm", "plus_or_minus": "0 N/mm"}, "max_load": "1225 kg"}
    rear = found("axle-load", "trailer.axles.rear", **made)
    assert rear.verdict == "too_close"
    assert rear.uncertainty == pytest.approx(169.706, abs=0.01)
    assert "the model's own uncertainty (springs of " in sentence(rear, rig(**made), Display(("metric",)))


def test_the_two_axles_of_one_entry_are_in_doubt_each_by_itself():
    # 1000 kg x 0.5 x sqrt(2) x 25 %
    made = tandem(0)
    made["trailer"]["axles"] = {"tandem": {**made["trailer"]["axles"]["front"], "number": 2, "max_load": "1150 kg"}}
    finding = found("axle-load", "trailer.axles.tandem", **made)
    assert (finding.verdict, finding.uncertainty) == ("too_close", pytest.approx(176.777, abs=0.01))


def test_one_entry_for_two_axles_is_judged_by_the_one_that_carries_more():
    made = tandem(40)
    made["trailer"]["axles"] = {"tandem": {**made["trailer"]["axles"]["front"], "number": 2}}
    assert best(rig(**made), "trailer.axles.tandem") == pytest.approx(1091.774, abs=0.001)


def test_without_springs_the_share_is_too_close_to_tell_and_says_why():
    finding = found("axle-load", "trailer.axles.front", **tandem(40, rate=""))
    assert finding.verdict == "too_close"
    assert finding.load == pytest.approx(1000)
    # two axles: each may carry anything from nothing to 2000 kg
    assert finding.uncertainty == pytest.approx(1000)
    words = sentence(finding, rig(**tandem(40, rate="")), Display(("metric",)))
    assert "the model's own uncertainty (share of front, not equalized)" in words


def test_a_frame_too_steep_for_the_model_is_not_computed():
    # 400 mm over 4 m moves ten times 91.774 kg of the 1000 kg an axle carries evenly; 500 mm would lift one off the road
    assert best(rig(**tandem(400)), "trailer.axles.front") == pytest.approx(1000 - 917.74, abs=0.01)
    assert found("axle-load", "trailer.axles.front", **tandem(500)).verdict == "too_close"


@pytest.mark.parametrize(
    ("nose", "words"), [(0, "it stands level"), (30, "its nose is up"), (-30, "its nose is down"), (10, "it stands level")]
)
def test_level_nose_up_and_nose_down(nose, words):
    finding = found("trailer-level", **tandem(nose))
    assert finding.verdict == "note"
    assert words in finding.reason
    assert finding.load == pytest.approx(nose / 4000)


def test_one_height_alone_asks_for_the_other():
    made = tandem(0)
    del made["coupling"]["height"]
    finding = found("trailer-level", **made)
    assert [m.path for m in finding.missing] == ["coupling.height"]
