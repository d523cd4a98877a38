"""How a whole rig stands: hand calculations, an independent root-finder, and what springs cannot change."""

import json

import pytest
from rigs import BARE, best, merged, rig, sigma
from scipy.optimize import brentq

from rigmargin.loads.derive import loads
from rigmargin.loads.value import expanded, influences, nominal
from rigmargin.spec import units
from rigmargin.spec.rig import parse

REAR, FRONT = "tow_vehicle.axles.rear", "tow_vehicle.axles.front"
PEOPLE = {"driver": {"mass": "180 lb", "at": "80 in", "person": "yes"}}
TICKETS = [
    {"state": "alone", "increment": "20 lb", "front": "3120 lb", "rear": "2840 lb"},
    {"state": "coupled", "increment": "20 lb", "front": "2760 lb", "rear": "4020 lb", "trailer_axles": "5340 lb"},
]
LEAF = {"spring_rate": "500 lb/in", "overload": {"rate": "600 lb/in", "gap": "2.4 in"}, "measured_at": "2110 lb"}
BLOCK = {
    "kind": "rubber", "gap": "1 in", "soft": {"compression": "0.5 in", "load": "300 lb"},
    "hard": {"compression": "1.5 in", "load": "1700 lb"}, "spacing": "40 in",
}  # fmt: skip
AIR = {"kind": "air", "pressure": "30 psi", "pressure_uncoupled": "10 psi", "effective_area": "25 in2", "spacing": "38 in"}


def pickup(rear, front=None, *, tickets=TICKETS, **vehicle):
    """A pickup weighed alone and coupled, on these springs."""
    axles = {"rear": {"suspension": rear}, **({"front": {"suspension": front}} if front else {})}
    return rig(
        tow_vehicle={"wheelbase": "145 in", "load": PEOPLE, "axles": axles, **vehicle}, weighings=tickets,
    )  # fmt: skip


def inches(one, what, state="coupled", axle=REAR):
    return best(one, f"{axle}.suspension.{what}", state, unit="in")


# --- squat ---------------------------------------------------------------------------------------------------------------


def test_plain_springs():
    # 4020 - 2840 = 1180 lb more on 500 lb/in: 2.36 in; the front 360 lb lighter on 1000 lb/in: up by 0.36 in
    one = pickup({"spring_rate": "500 lb/in"}, {"spring_rate": "1000 lb/in"})
    assert inches(one, "squat") == pytest.approx(2.36, abs=1e-9)
    assert inches(one, "squat", axle=FRONT) == pytest.approx(-0.36, abs=1e-9)
    # (2.36 + 0.36) / 145 = 1.876 %
    assert best(one, "tow_vehicle.pitch", unit="%") == pytest.approx(100 * 2.72 / 145)


def test_leaf_with_overload_stage():
    # alone 730 lb above the stand of 2110 lb: 1.46 in, clear of the overload stage; coupled 1910 lb above it, more than the
    # 500 x 2.4 = 1200 lb at which the stage touches: (1910 + 600 x 2.4) / 1100 = 3.0455 in; 1.5855 in lost
    assert inches(pickup(LEAF), "squat") == pytest.approx((1910 + 1440) / 1100 - 1.46, abs=1e-9)


def test_rate_from_heights_beats_the_stated_one_and_both_are_shown():
    stands = {"light": {"load": "2110 lb", "height": "21.5 in"}, "heavy": {"load": "2840 lb", "height": "20 in"}}
    one = pickup({"spring_rate": "600 lb/in", "heights": stands})
    rate = loads(one)[f"{REAR}.suspension.rate", "coupled"]
    assert [units.from_si(nominal(e.value), "lb/in") for e in rate.estimates] == pytest.approx([730 / 1.5, 600])
    assert inches(one, "squat") == pytest.approx(1180 / (730 / 1.5), abs=1e-9)


def test_heights_are_known_to_a_step_of_the_tape_unless_the_file_says_better():
    # a step of 5 mm: 5 / sqrt(12) = 1.443 mm for each height; on 1.5 in = 38.1 mm: sqrt(2) x 1.443 / 38.1 = 5.36 %
    exact = {"plus_or_minus": "0 lb"}
    stands = {
        "light": {"load": {"value": "2110 lb", **exact}, "height": "21.5 in"},
        "heavy": {"load": {"value": "2840 lb", **exact}, "height": {"value": "20 in", "source": "measured"}},
    }
    one = pickup({"heights": stands})
    name = f"{REAR}.suspension.rate"
    assert sigma(one, name, unit="lb/in") / best(one, name, unit="lb/in") == pytest.approx(0.0536, abs=5e-5)
    finer = merged(
        stands, {w: {"height": {"value": h, "plus_or_minus": "0 in"}} for w, h in (("light", "21.5 in"), ("heavy", "20 in"))}
    )
    assert sigma(pickup({"heights": finer}), name) == 0


def test_squat_is_known_to_a_quarter_of_itself_when_nothing_else_is_in_doubt():
    exact = [
        {k: {"value": v, "plus_or_minus": "0 lb"} if v.endswith("lb") and k != "increment" else v for k, v in t.items()}
        for t in TICKETS
    ]
    for springs in (
        {"spring_rate": "500 lb/in"},
        merged(
            LEAF,
            {
                "overload": {"gap": {"value": "2.4 in", "plus_or_minus": "0 in"}},
                "measured_at": {"value": "2110 lb", "plus_or_minus": "0 lb"},
            },
        ),
    ):
        value = loads(pickup(springs, tickets=exact))[f"{REAR}.suspension.squat", "coupled"].best.value
        assert expanded(value) / nominal(value) == pytest.approx(0.25)
        assert [i.path for i in influences(value) if i.share > 0.999] == ["model: springs of the rear axle"]


def test_bars_tensioned_are_a_state_of_their_own():
    # 3680 - 2840 = 840 lb on 500 lb/in: 1.68 in
    bars = {
        "state": "coupled_distributing",
        "increment": "20 lb",
        "front": "2980 lb",
        "rear": "3680 lb",
        "trailer_axles": "5460 lb",
    }
    one = rig(
        tow_vehicle={"load": PEOPLE, "axles": {"rear": {"suspension": {"spring_rate": "500 lb/in"}}}},
        coupling={"kind": "weight_distributing"}, weighings=[*TICKETS, bars],
    )  # fmt: skip
    assert inches(one, "squat", "coupled_distributing") == pytest.approx(1.68, abs=1e-9)
    assert inches(one, "squat") == pytest.approx(2.36, abs=1e-9)


# --- helpers -------------------------------------------------------------------------------------------------------------


def test_air_takes_load_off_the_springs():
    # 2 x 25 x 30 = 1500 lb coupled, 500 lb alone: the leaves carry 1910 - 1500 = 410 lb and 730 - 500 = 230 lb above the stand
    # of 2110 lb, both clear of the overload stage: (410 - 230) / 500 = 0.36 in lost
    one = pickup({**LEAF, "helper": AIR})
    assert inches(one, "squat") == pytest.approx(0.36, abs=1e-9)
    assert inches(one, "squat_without_helper") == pytest.approx((1910 + 1440) / 1100 - 1.46, abs=1e-9)
    assert best(one, f"{REAR}.suspension.helper.load", unit="lb") == pytest.approx(1500)
    assert best(one, f"{REAR}.suspension.helper.load", "alone", unit="lb") == pytest.approx(500)
    assert best(one, f"{REAR}.suspension.helper.share") == pytest.approx(1500 / 4020)


def test_a_rubber_block_against_an_independent_root_finder():
    """Everything in pounds and inches, written out anew: 500 x + 600 (x - 2.4)+ + k (x - 1)+ + c (x - 1)+^3 = load - 2110."""
    c = (1700 / 1.5 - 300 / 0.5) / 2
    k = 600 - 0.25 * c

    def block(x):
        return k * max(0, x - 1) + c * max(0, x - 1) ** 3

    def stand(load):
        return brentq(lambda x: 500 * x + 600 * max(0, x - 2.4) + block(x) - (load - 2110), -10, 10, xtol=1e-13)

    one = pickup({**LEAF, "bump_travel": "4.5 in", "helper": BLOCK}, unloaded={"front": "2900 lb", "rear": "2110 lb"})
    alone, coupled = stand(2840), stand(4020)
    assert inches(one, "squat") == pytest.approx(coupled - alone, abs=1e-8)
    assert inches(one, "travel_left") == pytest.approx(4.5 - coupled, abs=1e-8)
    assert best(one, f"{REAR}.suspension.helper.load", unit="lb") == pytest.approx(block(coupled), abs=1e-5)
    assert best(one, f"{REAR}.suspension.helper.load", "alone", unit="lb") == pytest.approx(block(alone), abs=1e-5)
    assert inches(one, "helper.compression") == pytest.approx(coupled - 1, abs=1e-8)
    assert inches(one, "helper.clearance_unloaded") == pytest.approx(1.0, abs=1e-9), (
        "unloaded it stands where gaps were measured"
    )
    # a pair of rate k + 3 c x^2, 40 in apart: (rate / 2) 40^2 / 2 for a radian, pi / 180 of it for a degree; in pound-feet
    rate = k + 3 * c * (coupled - 1) ** 2
    pound_foot = units.to_si(1, "lbf") * units.to_si(1, "ft")
    moment = nominal(loads(one)[f"{REAR}.suspension.helper.roll_moment", "coupled"].best.value) / pound_foot
    assert moment == pytest.approx(rate / 2 * 800 * 3.14159265 / 180 / 12, rel=1e-8)


def test_a_helper_can_be_described_before_the_springs_are():
    one = pickup({"helper": AIR})
    assert best(one, f"{REAR}.suspension.helper.load", unit="lb") == pytest.approx(1500)
    squat = loads(one)[f"{REAR}.suspension.squat", "coupled"]
    assert (squat.best, squat.items) == (None, (f"{REAR}.suspension.spring_rate",))


# --- influences of a whole rig -------------------------------------------------------------------------------------------

SPRINGS = {
    "overload": {"rate": "600 lb/in", "gap": "1.5 in"},
    "measured_at": "2110 lb",
    "heights": {"light": {"load": "2110 lb", "height": "21.5 in"}, "heavy": {"load": "2800 lb", "height": "20.1 in"}},
}
STEPS = {
    "overload.gap": ("1.5 in", "1.5005 in"),
    "overload.rate": ("600 lb/in", "600.1 lb/in"),
    "measured_at": ("2110 lb", "2110.1 lb"),
    "heights.heavy.load": ("2800 lb", "2800.1 lb"),
    "heights.light.height": ("21.5 in", "21.5002 in"),
    "helper.gap": ("1 in", "1.0005 in"),
    "helper.soft.load": ("300 lb", "300.1 lb"),
    "helper.hard.compression": ("1.5 in", "1.5002 in"),
}


def _with(path, text):
    data = merged(SPRINGS, {"helper": BLOCK})
    *parents, last = path.split(".")
    place = data
    for parent in parents:
        place = place[parent]
    place[last] = text
    return pickup(data)


@pytest.mark.parametrize("what", ["squat", "helper.load"])
@pytest.mark.parametrize("path", STEPS)
def test_influence_of_a_stated_figure_against_stating_another(path, what):
    name = f"{REAR}.suspension.{what}"
    before, after = (_with(path, text) for text in STEPS[path])
    step = units.parse(STEPS[path][1]).si - units.parse(STEPS[path][0]).si
    change = nominal(loads(after)[name, "coupled"].best.value) - nominal(loads(before)[name, "coupled"].best.value)
    found = {i.path: i.slope for i in influences(loads(before)[name, "coupled"].best.value)}
    assert found[f"{REAR}.suspension.{path}"] == pytest.approx(change / step, rel=2e-3)


# --- what springs cannot change ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("springs", [LEAF, {**LEAF, "helper": AIR}, {**LEAF, "helper": BLOCK}])
def test_no_spring_changes_an_axle_load(springs):
    bare, sprung = loads(pickup({})), loads(pickup(springs))
    for key, load in bare.items():
        assert [(nominal(e.value), expanded(e.value), e.method) for e in load.estimates] == [
            (nominal(e.value), expanded(e.value), e.method) for e in sprung[key].estimates
        ], key


def test_a_rig_without_springs_described_has_no_loads_of_them():
    assert not [key for key in loads(rig()) if "suspension" in key[0] or "pitch" in key[0]]


@pytest.mark.parametrize(
    ("springs", "what", "lacks"),
    [
        ({"overload": LEAF["overload"], "spring_rate": "500 lb/in"}, "squat", {"measured_at"}),
        (
            {**LEAF, "helper": {"kind": "air", "pressure": "30 psi"}}, "squat",
            {"helper.pressure_uncoupled", "helper.effective_area"},
        ),
        (
            {**LEAF, "helper": {**BLOCK, "gap": None, "soft": None}}, "helper.load",
            {"helper.gap", "helper.soft.compression", "helper.soft.load"},
        ),
        ({"heights": {}}, "rate", {"spring_rate"}),
    ],
)  # fmt: skip
def test_what_is_missing_is_named(springs, what, lacks):
    springs = json.loads(json.dumps(springs))
    if "helper" in springs:
        springs["helper"] = {k: v for k, v in springs["helper"].items() if v is not None}
    springs = {k: v for k, v in springs.items() if v != {}} or {"condition": "sound"}
    load = loads(pickup(springs))[f"{REAR}.suspension.{what}", "coupled"]
    assert load.best is None
    assert set(load.items) == {f"{REAR}.suspension.{path}" for path in lacks}


def test_an_axle_that_was_not_weighed_alone_asks_for_that_ticket():
    squat = loads(pickup(LEAF, tickets=TICKETS[1:]))[f"{REAR}.suspension.squat", "coupled"]
    assert squat.best is None
    assert squat.tickets == ("weighings.alone.rear",)


def test_what_nothing_asks_for_is_left_out_rather_than_listed_as_not_known():
    air = {k: v for k, v in AIR.items() if k != "rate"}
    names = {name for name, _ in loads(pickup({**LEAF, "helper": air}))}
    assert f"{REAR}.suspension.squat" in names
    assert not names & {"tow_vehicle.pitch", "tow_vehicle.pitch_without_helper", f"{REAR}.suspension.helper.roll_moment"}


def test_pitch_without_the_helper_takes_each_axle_without_its_own():
    one = pickup({**LEAF, "helper": AIR}, {"spring_rate": "1000 lb/in"})
    # rear 0.36 in down with and (1910 + 1440) / 1100 - 1.46 = 1.5855 in without, front 0.36 in up, 145 in
    assert best(one, "tow_vehicle.pitch", unit="%") == pytest.approx(72 / 145)
    assert best(one, "tow_vehicle.pitch_without_helper", unit="%") == pytest.approx(100 * (3350 / 1100 - 1.46 + 0.36) / 145)


def test_a_metric_file_stands_as_the_same_in_inches():
    metric = parse(
        json.dumps(merged(BARE, {
            "tow_vehicle": {"load": PEOPLE, "axles": {"rear": {"suspension": {"spring_rate": "87.563417 N/mm"}}}},  # 500 lb/in
            "weighings": TICKETS,
        })), "metric.yaml",
    )  # fmt: skip
    assert inches(metric, "squat") == pytest.approx(2.36, abs=1e-6)
