"""A small whole rig, as text, for the tests of reading, and what they do with it; nothing here is real."""

import pytest
import yaml

from rigmargin.spec.problem import FileProblems, Problem
from rigmargin.spec.rig import parse

#: The parser that reading uses where libyaml is built in, and the one it uses elsewhere.
PARSERS = [pytest.param(yaml.CSafeLoader, id="libyaml"), pytest.param(yaml.SafeLoader, id="python")]
KG = 0.45359237  # one pound in kg, exactly: NIST SP 811

TEXT = """\
rig: 1
name: Brook Lane pair
places: [us, us-co]
date: 2026-06-01
trip: {top_speed: 65 mph, highest_point: 9200 ft}
tow_vehicle:
  kind: pickup
  gvwr: {value: 7000 lb, source: certification_label, plus_or_minus: 0 lb}
  towing_limit: {weight_carrying: 5000 lb, weight_distributing: {value: 9000 lb, source: manual}}
  wheelbase: 145 in
  kerb: {front: 2900 lb, rear: 2300 lb, source: scale_ticket, includes: [driver 75 kg]}
  axles:
    front: {gawr: 3500 lb, tires: {size: LT245/75R16, load_index: 120/116, count: 2, cold_pressure: 65 psi}}
    rear: {gawr: 3900 lb}
  stations: {front seats: 70 in, bed: 10 in}
  load:
    driver: {mass: 180 lb, at: front seats, person: yes}
    tool box: {mass: 120 lb, at: 1 ft 6 in}
coupling:
  kind: weight_carrying
  hardware_mass: 40 lb
  parts:
    ball mount: {max_vertical_load: 500 lb, max_towed_mass: {weight_carrying: 5000 lb}}
trailer:
  kind: utility
  gvwr: 4500 lb
  tare: 1300 lb
  axles: {tandem: {number: 2, gawr: 3500 lb, equalized: yes}}
  tanks:
    fresh water: {holds: water, volume: 20 gal, filled: 1/3, at: 7 ft}
pin_weight: 450 lb
weighings:
  - {state: coupled, on: 2026-05-02, front: 3100 lb, rear: 3600 lb, increment: 20 lb, aboard: all}
  - {state: trailer_on_jack, coupling: 450 lb, increment: 10 lb, aboard: [tool box]}
options:
  helper springs: {cost: 240 USD, change: {tow_vehicle: {load: {helper springs: {mass: 45 lb, at: bed}}}}}
"""


def changed(*pairs: tuple[str, str]) -> str:
    """TEXT with each first text, which must stand in it exactly once, replaced by the second."""
    text = TEXT
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def problems(text: str) -> tuple[Problem, ...]:
    """The problems that reading ``text`` must raise."""
    with pytest.raises(FileProblems) as caught:
        parse(text, "f.yaml")
    return caught.value.problems
