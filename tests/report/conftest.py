"""A rig whose every text is hostile, and the reports of an ordinary one."""

import pytest

from rigmargin.judge.run import judge
from rigmargin.spec.rig import parse

HOSTILE = (
    "<script>alert(1)</script>",
    "| # [x](javascript:y) `z` **b** <img src=x onerror=a>",
    "\x1b[31mred\x1b[0m \u202eback",
    "www.example.com http://example.com @someone #12 :smile:",
    '"><svg/onload=a> &lt; {{ 7*7 }} {% x %}',
)


def hostile_rig(text):
    import json

    name = json.dumps(text)  # a JSON string is a YAML string
    return f"""
rig: 1
name: {name}
owner: {name}
places: [us]
tow_vehicle:
  kind: pickup
  note: {name}
  gvwr: {{value: 6000 lb, source: manual, ref: {name}}}
  unloaded: {{total: 5000 lb, source: brochure}}
  load: {{{name}: {{mass: 900 lb, at: 3 ft, note: {name}}}}}
coupling:
  kind: weight_carrying
  hardware_mass: 20 lb
  parts:
    {name}: {{max_vertical_load: {{value: 400 lb, source: manual, ref: {name}}}, max_towed_mass: 3000 lb, note: {name}}}
coupling_load: {{value: 500 lb, source: measured, ref: {name}}}
trailer:
  kind: utility
  gvwr: 3000 lb
  axles: {{{name}: {{gawr: 3500 lb, note: {name}}}}}
  load: {{{json.dumps(text + " two")}: {{mass: 400 lb}}}}
weighings:
  - {{state: trailer_alone, all: 3500 lb, increment: 20 lb, ref: {name}, at: {name}, note: {name}}}
"""


@pytest.fixture(params=HOSTILE, ids=["script", "markdown", "terminal", "links", "quotes"])
def hostile_text(request):
    """A rig file of hostile names. They may hold neither dots, @, brackets nor control characters: the schema refuses those."""
    return hostile_rig(request.param.replace(".", "").replace("@", "").replace("[", "(").replace("]", ")").replace("\x1b", " "))


@pytest.fixture
def hostile(hostile_text):
    return judge(parse(hostile_text, "hostile.yaml"))
