"""Rigs made in tests: plain data laid over a bare rig, read through the same door as a file."""

import copy
import json

from rigmargin.loads.derive import COUPLED, loads
from rigmargin.loads.value import expanded, nominal
from rigmargin.spec import units
from rigmargin.spec.rig import parse

POUND = 0.45359237  # kg, by definition
BARE = {"rig": 1, "name": "a test", "tow_vehicle": {}, "coupling": {"kind": "weight_carrying"}, "trailer": {"load": {}}}


def merged(base, over):
    """``over`` laid over ``base``, mapping by mapping."""
    result = copy.deepcopy(base)
    for key, value in over.items():
        result[key] = merged(result[key], value) if isinstance(value, dict) and isinstance(result.get(key), dict) else value
    return result


def rig(**parts):
    """A rig of the bare one with ``parts`` laid over it. JSON is YAML, so the text goes through the reader of rig files."""
    return parse(json.dumps(merged(BARE, parts)), "test.yaml")


def best(one, name, state=COUPLED, unit="kg"):
    """The best estimate of a load, in ``unit``."""
    estimate = loads(one)[name, state].best
    assert estimate is not None, f"{name} is not known; it needs {loads(one)[name, state].tickets}"
    return units.from_si(nominal(estimate.value), unit)


def by_method(one, name, method, state=COUPLED, unit="kg"):
    """The first estimate of a load made by ``method``, in ``unit``."""
    return units.from_si(nominal(next(e for e in loads(one)[name, state].estimates if e.method == method).value), unit)


def sigma(one, name, state=COUPLED, unit="kg"):
    """One standard uncertainty of the best estimate of a load, in ``unit``."""
    return units.from_si(expanded(loads(one)[name, state].best.value) / 2, unit)


def exact(text):
    return {"value": text, "plus_or_minus": f"0 {text.split()[-1]}"}


#: Unloaded 2900 and 2200 lb, with a driver of 200 lb and 50 lb of hardware; everything exact, the front axle overloaded.
FRONT = {
    "rig": 1, "name": "nose-heavy", "places": ["us"],
    "tow_vehicle": {
        "kind": "pickup", "gvwr": "7000 lb", "payload": "1800 lb",
        "max_trailer_mass": {"weight_carrying": "9000 lb"}, "max_coupling_load": {"weight_carrying": "900 lb"},
        "wheelbase": exact("140 in"), "coupling_behind_rear_axle": exact("56 in"),
        "unloaded": {"front": exact("2900 lb"), "rear": exact("2200 lb"), "source": "scale_ticket"},
        "axles": {"front": {"gawr": "2500 lb"}},
        "stations": {"seat": exact("70 in")},
        "load": {"driver": {"mass": exact("200 lb"), "at": "seat", "person": "yes"}},
    },
    "coupling": {"kind": "weight_carrying", "hardware_mass": exact("50 lb")},
    "trailer": {"gvwr": "7000 lb", "brakes": {"actuation": "none"}},
}  # fmt: skip
EUROPEAN = {
    "rig": 1, "name": "floor", "places": ["de"],
    "tow_vehicle": {
        "kind": "suv", "max_mass": "2800 kg", "max_trailer_mass": {"braked": "2200 kg", "unbraked": "750 kg"},
        "max_coupling_load": "100 kg",
    },
    "coupling": {"kind": "european_ball"},
    "trailer": {"brakes": {"actuation": "overrun"}},
}  # fmt: skip

#: Never weighed, and over by what is computed: 2200 lb and the coupling's 500 lb on a rear axle that may carry 2300 lb.
COMPUTED = {
    "places": ["us"],
    "tow_vehicle": {
        "kind": "pickup",
        "wheelbase": "145 in",
        "coupling_behind_rear_axle": "56 in",
        "unloaded": {"front": "2900 lb", "rear": "2200 lb", "source": "scale_ticket"},
        "axles": {"rear": {"gawr": "2300 lb"}},
        "load": {"driver": {"mass": "180 lb", "person": "yes", "at": "60 in"}},
    },
    "coupling": {"kind": "weight_carrying", "hardware_mass": "50 lb"},
    "trailer": {
        "unloaded": {"coupling": "500 lb", "axles": "4000 lb", "source": "scale_ticket"},
        "coupling_to_axle_centre": "200 in",
        "axles": {"tandem": {"number": 2}},
        "load": {},
    },
}
