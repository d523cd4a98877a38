"""Which of today's tickets still speak of a changed rig, and what they then say."""

import copy
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rigs import POUND, merged

from rigmargin.advice.compare import Trials
from rigmargin.judge.run import judge
from rigmargin.loads.derive import loads
from rigmargin.loads.value import nominal, sigma
from rigmargin.spec import document as documents
from rigmargin.spec import variants

#: Wheelbase 140 in, coupling 50 in behind the rear axle, 180 in from there to the trailer's axles.
#: Coupling 7000 - 6280 = 720 lb; trailer 5120 + 720 = 5840 lb.
RIG = {
    "rig": 1,
    "name": "a test",
    "tow_vehicle": {
        "wheelbase": "140 in",
        "coupling_behind_rear_axle": "50 in",
        "stations": {"bed": "20 in", "seats": "80 in"},
        "load": {"driver": {"mass": "190 lb", "at": "seats", "person": "yes"}, "generator": {"mass": "120 lb", "at": "bed"}},
    },
    "coupling": {"kind": "weight_carrying", "hardware_mass": "30 lb"},
    "trailer": {
        "coupling_to_axle_centre": "180 in",
        "stations": {"front": "30 in", "back": "240 in"},
        "load": {"wood": {"mass": "400 lb", "at": "front"}},
    },
    "weighings": [
        {"state": "alone", "front": "3180 lb", "rear": "3100 lb", "increment": "20 lb"},
        {"state": "coupled", "front": "2880 lb", "rear": "4120 lb", "trailer_axles": "5120 lb", "increment": "20 lb"},
    ],
}


def changed(change, over=None, file="a.yaml"):
    """The rig of a file with one option, its tickets brought up to date."""
    return combined({"it": {"change": change}}, ["it"], over, file)


def combined(options, names, over=None, file="a.yaml"):
    """The rig with some of the options, its tickets brought up to date."""
    content = {**merged(RIG, over or {}), "options": options}
    considered = variants.of(documents.parse(json.dumps(content), file))
    return Trials(considered, None).scenario(tuple(names)).report.rig


def pounds(rig, name, state="coupled"):
    best = loads(rig)[name, state].best
    return best and round(nominal(best.value) / POUND, 2)


def method(rig, name, state="coupled"):
    return loads(rig)[name, state].best.method


def states(rig):
    return [ticket.state for ticket in rig.weighings]


REAR, FRONT, COUPLING, TRAILER = "tow_vehicle.axles.rear", "tow_vehicle.axles.front", "coupling.vertical", "trailer.gross"


def test_a_change_of_nothing_leaves_every_load_as_it_is():
    before, after = judge(changed({"note": "x"})), judge(changed({"note": "y"}))
    kept = {name: nominal(load.best.value) for name, load in before.facts.loads.items() if load.best}
    assert kept == {name: nominal(load.best.value) for name, load in after.facts.loads.items() if load.best}
    assert pounds(after.rig, REAR) == 4120
    assert sum(name[1] == "coupled" for name in kept) > 8


def test_what_moves_is_taken_off_there_and_put_on_here():
    rig = changed({"trailer": {"load": {"wood": {"at": "back"}}}})
    # 400 lb from 30 to 240 in: coupling 720 - 400 * 210 / 180 = 253.33; rear 4120 - 466.67 * (1 + 50 / 140) = 3486.67
    assert pounds(rig, COUPLING) == 253.33
    assert pounds(rig, REAR) == 3486.67
    assert pounds(rig, FRONT) == round(2880 + 466.667 * 50 / 140, 2)
    assert pounds(rig, TRAILER) == 5840
    assert method(rig, REAR) == "weighed"


def test_what_changes_vehicles():
    change = {
        "tow_vehicle": {"load": {"generator": None}},
        "trailer": {"load": {"generator": {"mass": "120 lb", "at": "back"}}},
    }
    rig = changed(change)
    # bed, 20 in ahead: rear - 120 * (1 - 20 / 140) = -102.86; trailer at 240 in: coupling 120 * (1 - 240 / 180) = -40
    assert pounds(rig, COUPLING) == 680
    assert pounds(rig, REAR) == round(4120 - 120 * 120 / 140 - 40 * 190 / 140, 2)
    assert pounds(rig, TRAILER) == 5960
    assert pounds(rig, "combination.gross") == 12120


def test_what_is_left_behind_or_weighs_otherwise():
    assert pounds(changed({"trailer": {"load": {"wood": None}}}), TRAILER) == 5440
    assert pounds(changed({"trailer": {"load": {"wood": {"aboard": "no"}}}}), TRAILER) == 5440
    assert pounds(changed({"trailer": {"load": {"wood": {"mass": "150 lb"}}}}), TRAILER) == 5590
    assert pounds(changed({"trailer": {"load": {"more": {"mass": "90 lb", "at": "back"}}}}), TRAILER) == 5930


def test_a_tank_that_is_drained():
    tank = {"holds": "water", "volume": "60 gal", "filled": "full", "at": "back"}
    rig = changed({"trailer": {"tanks": {"fresh": {"filled": "empty"}}}}, {"trailer": {"tanks": {"fresh": tank}}})
    assert pounds(rig, TRAILER) == pytest.approx(5840 - 60 * 8.33, abs=2)  # a gallon of water weighs about 8.33 lb


def test_another_hitch_head_weighs_more():
    rig = changed({"coupling": {"hardware_mass": "80 lb"}})
    # 50 lb more at 50 in behind the axle, on both tickets: the coupling load stays
    assert pounds(rig, COUPLING) == 720
    assert pounds(rig, REAR) == round(4120 + 50 * 190 / 140, 2)
    assert pounds(rig, FRONT) == round(2880 - 50 * 50 / 140, 2)


def test_a_longer_hitch_keeps_what_each_vehicle_weighed_by_itself():
    rig = changed({"tow_vehicle": {"coupling_behind_rear_axle": "62 in"}})
    assert states(rig) == ["alone", "trailer_on_jack"]
    assert pounds(rig, COUPLING) == 720
    # the coupling load at the new lever, and the head of 30 lb with it, that was on the scale at 50 in
    assert pounds(rig, REAR) == round(3100 + 30 * 12 / 140 + 720 * (1 + 62 / 140), 2)
    assert method(rig, REAR) == "weighed_and_levers"


def test_a_head_of_180_lb_moves_with_the_coupling():
    # wheelbase 140, from 50 to 74 in: 3100 + 180 * 24 / 140 + 720 * (1 + 74 / 140) = 4231.43
    rig = changed({"tow_vehicle": {"coupling_behind_rear_axle": "74 in"}}, {"coupling": {"hardware_mass": "180 lb"}})
    assert pounds(rig, REAR) == 4231.43


OTHER_TRAILER = {
    "coupling_to_axle_centre": "200 in",
    "unloaded": {"coupling": "500 lb", "axles": "3500 lb", "source": "manual"},
    "stations": {"front": "30 in"},
    "load": {"wood": {"mass": "400 lb", "at": "front"}},
}


def other_file(folder, **parts):
    """A folder with another rig file in it; the name for a file beside it."""
    (folder / "other.yaml").write_text(json.dumps({**TRUCK, **parts}))
    return str(folder / "mine.yaml")


def test_another_trailer_leaves_the_vehicles_own_ticket(tmp_path):
    rig = changed({"trailer": "from other.yaml"}, file=other_file(tmp_path, trailer=OTHER_TRAILER))
    assert states(rig) == ["alone"]
    assert pounds(rig, TRAILER) == 4400
    # 500 lb and of the wood 400 * (200 - 30) / 200 = 340 lb
    assert pounds(rig, COUPLING) == 840
    assert method(rig, COUPLING) == "computed"


def test_what_moves_out_of_a_vehicle_that_is_gone_is_not_lost(tmp_path):
    # the wood stood on the old trailer; now it lies in the bed, under its own name: 6280 + 500 + 400 lb
    change = {"trailer": "from other.yaml", "tow_vehicle": {"load": {"wood": {"mass": "400 lb", "at": "bed"}}}}
    file = other_file(tmp_path, trailer={**OTHER_TRAILER, "load": {}})
    assert pounds(changed(change, file=file), "tow_vehicle.gross") == 6280 + 500 + 400
    over = {"weighings": [{**RIG["weighings"][0], "aboard": ["driver", "generator", "wood"]}]}
    assert pounds(changed(change, over, file), "tow_vehicle.gross") == 6280 + 500 + 400


def test_what_moves_into_the_trailer_behind_another_truck_is_not_lost(tmp_path):
    change = {"tow_vehicle": "from other.yaml", "trailer": {"load": {"generator": {"mass": "120 lb", "at": "front"}}}}
    over = {"weighings": [{"state": "trailer_alone", "coupling": "720 lb", "trailer_axles": "5120 lb", "increment": "20 lb"}]}
    rig = changed(change, over, other_file(tmp_path))
    assert (pounds(rig, TRAILER), pounds(rig, COUPLING)) == (5960, 820)  # 720 + 120 * (1 - 30 / 180)


TRUCK = {
    "rig": 1,
    "name": "the other truck",
    "tow_vehicle": {
        "wheelbase": "150 in",
        "coupling_behind_rear_axle": "45 in",
        "unloaded": {"front": "3900 lb", "rear": "2900 lb", "source": "scale_ticket"},
        "load": {"driver": {"mass": "190 lb", "at": "75 in", "person": "yes"}},
    },
    "coupling": {"kind": "weight_carrying"},
    "trailer": {},
}


def test_another_truck_gets_the_trailer_as_it_was_weighed(tmp_path):
    (tmp_path / "truck.yaml").write_text(json.dumps(TRUCK))
    rig = changed({"tow_vehicle": "from truck.yaml"}, file=str(tmp_path / "mine.yaml"))
    assert states(rig) == ["trailer_on_jack"]
    assert pounds(rig, COUPLING) == 720
    assert pounds(rig, TRAILER) == 5840
    # rear 2900 + driver 190 * (1 - 75 / 150) + hitch and coupling (30 + 720) * (1 + 45 / 150)
    assert pounds(rig, REAR) == 2900 + 95 + 750 * 1.3
    assert method(rig, REAR) == "computed"
    ticket = rig.weighings[0]
    today = loads(variants.of(documents.parse(json.dumps(RIG), "a.yaml")).rig)
    assert ticket.readings["coupling"].sigma == pytest.approx(sigma(today[COUPLING, "coupled"].best.value))


def test_a_brake_test_of_the_old_pair_says_nothing_of_the_new_one(tmp_path):
    over = {"brake_test": {"stopping_distance": "30 ft"}, "overall_length": "50 ft"}
    assert changed({"note": "x"}, over).get("brake_test.stopping_distance") is not None
    rig = changed({"tow_vehicle": "from other.yaml"}, over, other_file(tmp_path))
    assert (rig.get("brake_test.stopping_distance"), rig.get("overall_length")) == (None, None)


def test_the_trailers_load_changes_behind_the_other_truck_too(tmp_path):
    (tmp_path / "truck.yaml").write_text(json.dumps(TRUCK))
    change = {"tow_vehicle": "from truck.yaml", "trailer": {"load": {"wood": {"at": "back"}}}}
    assert pounds(changed(change, file=str(tmp_path / "mine.yaml")), COUPLING) == 253.33


def test_a_stated_coupling_load_goes_with_its_trailer_and_changes_with_its_load():
    stated = {"coupling_load": {"value": "720 lb", "source": "measured"}, "weighings": []}
    assert pounds(changed({"trailer": {"load": {"wood": {"at": "back"}}}}, stated), COUPLING) == 253.33
    assert pounds(changed({"trailer": {"load": {"wood": None}}}, stated), COUPLING) == round(720 - 400 * 150 / 180, 2)
    assert pounds(changed({"coupling_load": {"value": "650 lb", "source": "measured"}}, stated), COUPLING) == 650


BARS = {
    "coupling": {"kind": "weight_distributing", "parts": {"bars": {}}},
    "weighings": [
        *RIG["weighings"],
        {
            "state": "coupled_distributing",
            "front": "3080 lb",
            "rear": "3800 lb",
            "trailer_axles": "5240 lb",
            "increment": "20 lb",
        },
    ],
}


@pytest.mark.parametrize(
    ("change", "kept"),
    [
        ({"note": "x"}, ["alone", "coupled", "coupled_distributing"]),
        ({"trailer": {"load": {"wood": None}}}, ["alone", "coupled", "coupled_distributing"]),
        ({"coupling": {"kind": "weight_carrying"}}, ["alone", "coupled", "trailer_alone"]),
        ({"coupling": {"hardware_mass": "90 lb"}}, ["alone", "coupled", "trailer_alone"]),
        ({"coupling": {"parts": {"bars": None, "other bars": {}}}}, ["alone", "coupled", "trailer_alone"]),
    ],
)
def test_other_bars_were_never_weighed(change, kept):
    """What the ticket with the old bars told of the whole trailer stays told: it may contradict the others."""
    assert states(changed(change, BARS)) == kept


NEW_TICKET = {"state": "coupled", "front": "2900 lb", "rear": "3500 lb", "trailer_axles": "5000 lb", "increment": "20 lb"}
WEIGHED = {"weighings": [NEW_TICKET], "trailer": {"load": {"wood": {"at": "back"}}}}


def test_an_options_own_ticket_goes_before_an_earlier_one_of_its_state():
    rig = changed(WEIGHED)
    assert pounds(rig, REAR) == 3500
    assert states(rig) == ["alone", "coupled"]
    assert pounds(rig, COUPLING) == 6400 - 6280


def test_an_options_own_tickets_speak_of_the_rig_with_that_option_and_no_other():
    tank = {"tow_vehicle": {"load": {"fuel tank": {"mass": "500 lb", "at": "bed"}}}}
    options = {"weighed": {"change": WEIGHED}, "tank": {"change": tank}, "later": {"needs": ["weighed"], "change": tank}}
    for other in ("tank", "later"):
        rig = combined(options, ["weighed", other])
        assert pounds(rig, REAR) == round(3500 + 500 * 120 / 140, 2)
        assert pounds(rig, "tow_vehicle.gross") == 6400 + 500


def test_a_restated_coupling_load_speaks_of_the_rig_with_that_option_and_no_other():
    over = {"coupling_load": {"value": "720 lb", "source": "measured"}, "weighings": []}
    options = {
        "read again": {"change": {"coupling_load": {"value": "700 lb", "source": "measured"}}},
        "ballast": {"change": {"trailer": {"load": {"ballast": {"mass": "300 lb", "at": "front"}}}}},
    }
    assert pounds(combined(options, ["ballast"], over), COUPLING) == 720 + 300 * 150 / 180
    assert pounds(combined(options, ["read again", "ballast"], over), COUPLING) == 700 + 300 * 150 / 180


def test_what_contradicts_itself_today_does_behind_another_truck_too(tmp_path):
    jack = {"state": "trailer_on_jack", "coupling": "300 lb", "increment": "20 lb"}
    over = {"weighings": [*RIG["weighings"], jack]}
    rig = changed({"tow_vehicle": "from other.yaml"}, over, other_file(tmp_path))
    load = loads(rig)[COUPLING, "coupled"]
    assert [round(nominal(e.value) / POUND) for e in (load.best, *load.rivals)] == [300, 720]


def test_a_coupling_load_that_was_weighed_is_kept_behind_another_truck_though_nothing_else_was(tmp_path):
    bare = [RIG["weighings"][0], {key: v for key, v in RIG["weighings"][1].items() if key != "trailer_axles"}]
    light = {"coupling": "300 lb", "axles": "4000 lb", "source": "brochure"}
    for also in ([], [{"state": "trailer_alone", "all": "5900 lb", "increment": "20 lb"}]):
        over = {"trailer": {"unloaded": light}, "weighings": [*bare, *also]}
        rig = changed({"tow_vehicle": "from other.yaml"}, over, other_file(tmp_path))
        assert (pounds(rig, COUPLING), method(rig, COUPLING)) == (720, "weighed")


def test_an_options_own_ticket_stands_beside_a_stated_coupling_load():
    over = {"coupling_load": {"value": "720 lb", "source": "measured"}}
    assert pounds(changed(WEIGHED, over), REAR) == 3500


def test_tickets_of_two_options_stay_two_tickets():
    alone = {"state": "alone", "front": "3160 lb", "rear": "3000 lb", "increment": "20 lb"}
    coupled = {"state": "coupled", "front": "2980 lb", "rear": "3600 lb", "trailer_axles": "5000 lb", "increment": "20 lb"}
    options = {
        "a": {"change": {"tow_vehicle": {"load": {"generator": None}}, "weighings": [alone]}},
        "b": {"needs": ["a"], "change": {"trailer": {"load": {"wood": None}}, "weighings": [coupled]}},
    }
    rig = combined(options, ["a", "b"])
    assert (pounds(rig, COUPLING), pounds(rig, TRAILER)) == (6580 - 6160, 5000 + 420)


INCLUDED = {"unloaded": {"coupling": "780 lb", "axles": "4700 lb", "includes": ["wood"], "source": "scale_ticket"}}


def test_a_thing_that_the_unloaded_mass_holds_can_be_moved_without_any_ticket():
    over = {"weighings": [], "trailer": INCLUDED}
    # 1000 lb in place of 400 lb at 30 in of 180 in; and 400 lb from 30 to 240 in
    heavier = changed({"trailer": {"load": {"wood": {"mass": "1000 lb"}}}}, over)
    assert (pounds(heavier, COUPLING), pounds(heavier, TRAILER)) == (780 + 600 * 150 / 180, 5480 + 600)
    moved = changed({"trailer": {"load": {"wood": {"at": "back"}}}}, over)
    assert (pounds(moved, COUPLING), pounds(moved, TRAILER)) == (round(780 - 400 * 210 / 180, 2), 5480)
    assert pounds(changed({"trailer": {"load": {"wood": {"aboard": "no"}}}}, over), TRAILER) == 5080


def test_a_thing_is_not_mistaken_for_another_as_it_was_weighed():
    new = {"generator": None, "generator (as weighed)": {"mass": "500 lb", "at": "bed"}}
    assert pounds(changed({"tow_vehicle": {"load": new}}), "tow_vehicle.gross") == 7000 - 120 + 500


def test_the_bars_were_not_weighed_with_other_springs():
    springs = {"tow_vehicle": {"axles": {"rear": {"suspension": {"condition": "sound", "spring_rate": "500 lb/in"}}}}}
    helper = {"kind": "rubber", "gap": "1 in", "counted_as": "generator"}
    change = {"tow_vehicle": {"axles": {"rear": {"suspension": {"helper": helper}}}}}
    assert "coupled_distributing" in states(changed({"note": "x"}, merged(BARS, springs)))
    assert "coupled_distributing" not in states(changed(change, merged(BARS, springs)))


def test_a_rig_with_bars_keeps_how_its_coupling_load_is_known():
    bars = {"coupling": {"kind": "weight_distributing"}, "weighings": [RIG["weighings"][0], BARS["weighings"][2]]}
    bars["trailer"] = {"axles": {"one": {"number": 1}}}
    assert method(changed({"note": "x"}, bars), COUPLING) == "weighed_and_levers"


#: A rig of which everything is known without a scale, for the test below.
WHOLE = merged(
    RIG,
    {
        "tow_vehicle": {"unloaded": {"front": "3000 lb", "rear": "2500 lb", "source": "scale_ticket"}},
        "trailer": {"unloaded": {"coupling": "500 lb", "axles": "4500 lb", "source": "scale_ticket"}},
        "weighings": [],
    },
)
NAMES = (REAR, FRONT, COUPLING, TRAILER, "trailer.axle_group", "combination.gross")
MASS = st.integers(10, 700).map(lambda m: f"{m} lb")
ENTRY = st.fixed_dictionaries({"mass": MASS, "at": st.sampled_from(["front", "back", "100 in"])})
TOW_ENTRY = st.fixed_dictionaries({"mass": MASS, "at": st.sampled_from(["bed", "seats", "-10 in"])})
CHANGES = st.fixed_dictionaries(
    {},
    optional={
        "trailer": st.fixed_dictionaries(
            {"load": st.fixed_dictionaries({}, optional={"wood": ENTRY | st.none(), "new": ENTRY})}
        ),
        "tow_vehicle": st.fixed_dictionaries(
            {"load": st.fixed_dictionaries({}, optional={"generator": TOW_ENTRY | st.none()})}
        ),
        "coupling": st.fixed_dictionaries({"hardware_mass": MASS}),
    },
)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(CHANGES)
def test_tickets_brought_up_to_date_tell_what_a_scale_would_have_told(change):
    """Weigh a known rig without error, change it, and bring the tickets up to date: the loads are those of the changed rig."""

    def known(content):
        rig = variants.of(documents.parse(json.dumps(content), "a.yaml")).rig
        return {name: nominal(loads(rig)[name, "coupled"].best.value) / POUND for name in NAMES}, rig

    def ticket(rig, state):
        front, rear = (nominal(loads(rig)[axle, state].best.value) / POUND for axle in (FRONT, REAR))
        return {"state": state, "front": f"{front:.9f} lb", "rear": f"{rear:.9f} lb", "increment": "20 lb"}

    _, before = known(WHOLE)
    group = nominal(loads(before)["trailer.axle_group", "coupled"].best.value) / POUND
    tickets = [ticket(before, "alone"), {**ticket(before, "coupled"), "trailer_axles": f"{group:.9f} lb"}]
    weighed = changed(change, {**copy.deepcopy(WHOLE), "weighings": tickets})
    truth, _ = known(_laid(copy.deepcopy(WHOLE), change))
    found = {name: nominal(loads(weighed)[name, "coupled"].best.value) / POUND for name in NAMES}
    assert found == pytest.approx(truth, abs=1e-5)
    assert {loads(weighed)[name, "coupled"].best.method for name in NAMES} == {"weighed"}


def _laid(target, change):
    """RFC 7396, section 2, written out."""
    for key, value in change.items():
        if value is None:
            target.pop(key, None)
        elif isinstance(value, dict):
            target[key] = _laid(target[key] if isinstance(target.get(key), dict) else {}, value)
        else:
            target[key] = value
    return target
