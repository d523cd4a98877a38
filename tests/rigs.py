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
