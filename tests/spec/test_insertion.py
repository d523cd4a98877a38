"""Tickets and fields go into a file's text, and nothing else of it changes."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigmargin.judge.run import judge
from rigmargin.spec.document import parse
from rigmargin.spec.insertion import NoPlace, with_fields, with_tickets
from rigmargin.spec.rig import parse as read_rig

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
TICKET = {"state": "alone", "on": "2026-07-04", "increment": "20 lb", "front": "4740 lb", "rear": "3260 lb"}
LINE = "{state: alone, on: 2026-07-04, increment: 20 lb, front: 4740 lb, rear: 3260 lb}"
ONE = "{state: coupled, all: 9000 lb, increment: 20 lb}"


def added(before, after):
    """What was inserted: the two texts are the same before and after one place."""
    start = next((i for i, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), len(before))
    rest = len(before) - start
    assert after[:start] == before[:start]
    assert rest == 0 or after[-rest:] == before[-rest:], "something else has changed"
    assert len(after) > len(before)
    return after[start : len(after) - rest]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (f"rig: 1\nweighings:\n  - {ONE}\n", f"rig: 1\nweighings:\n  - {ONE}\n  - {LINE}\n"),
        (f"weighings:\n- {ONE} # Monday\nrig: 1\n", f"weighings:\n- {ONE} # Monday\n- {LINE}\nrig: 1\n"),
        (
            f"rig: 1\nweighings:\n  - {ONE}\n  # more to come\n\nname: x\n",
            f"rig: 1\nweighings:\n  - {ONE}\n  - {LINE}\n  # more to come\n\nname: x\n",
        ),
        (
            f"weighings:\n- {ONE}\n  # read twice\n\n    # calm\n# to come\nrig: 1\n",
            f"weighings:\n- {ONE}\n  # read twice\n\n    # calm\n- {LINE}\n# to come\nrig: 1\n",
        ),
        (f"weighings:\r\n  - {ONE}\r\n    # twice", f"weighings:\r\n  - {ONE}\r\n    # twice\r\n  - {LINE}"),
        (
            "rig: 1\nweighings:\n    -   state: coupled\n        all: 9000 lb\n        increment: 20 lb # read twice\n"
            "\n# end\n",
            "rig: 1\nweighings:\n    -   state: coupled\n        all: 9000 lb\n        increment: 20 lb # read twice\n"
            f"    - {LINE}\n\n# end\n",
        ),
        (
            "weighings:\n  - state: coupled\n    note: |\n      two\n      lines\n# after\nrig: 1\n",
            f"weighings:\n  - state: coupled\n    note: |\n      two\n      lines\n  - {LINE}\n# after\nrig: 1\n",
        ),
        (f"weighings: [{ONE}] # all of them\nrig: 1\n", f"weighings: [{ONE}, {LINE}] # all of them\nrig: 1\n"),
        (f"weighings: [\n  {ONE}, # Monday\n]\nrig: 1\n", f"weighings: [\n  {ONE}, {LINE}, # Monday\n]\nrig: 1\n"),
        ("weighings: []\nrig: 1\n", f"weighings: [{LINE}]\nrig: 1\n"),
        ("weighings: [ # none yet\n]\nrig: 1\n", f"weighings: [{LINE} # none yet\n]\nrig: 1\n"),
        ("rig: 1\nname: x\n", f"rig: 1\nname: x\nweighings:\n  - {LINE}\n"),
        ("rig: 1\nname: x\n# the end", f"rig: 1\nname: x\n# the end\nweighings:\n  - {LINE}"),
        ("rig: 1\nname: x\n  ", f"rig: 1\nname: x\n  \nweighings:\n  - {LINE}"),
        ("  rig: 1\n  name: x\n", f"  rig: 1\n  name: x\n  weighings:\n    - {LINE}\n"),
        ("---\nrig: 1\n...\n", f"---\nrig: 1\nweighings:\n  - {LINE}\n...\n"),
        (f"rig: 1\r\nweighings:\r\n  - {ONE}\r\n", f"rig: 1\r\nweighings:\r\n  - {ONE}\r\n  - {LINE}\r\n"),
        (f"rig: 1\nweighings:\n  - {ONE}", f"rig: 1\nweighings:\n  - {ONE}\n  - {LINE}"),
        ("rig: 1\nname: ä 😀 #\tno comment? a\ttab\n", f"rig: 1\nname: ä 😀 #\tno comment? a\ttab\nweighings:\n  - {LINE}\n"),
        ('{"rig": 1, "name": "x"}\n', f'{{"rig": 1, "name": "x", "weighings": [{json.dumps(TICKET)}]}}\n'),
        ('{"rig": 1, "weighings": [{"a": 1}]}', f'{{"rig": 1, "weighings": [{{"a": 1}}, {json.dumps(TICKET)}]}}'),
    ],
)
def test_a_ticket_goes_behind_the_last_one(before, after):
    assert with_tickets(before, [TICKET]) == after
    added(before, after)


def test_several_tickets_stay_in_order():
    two = with_tickets("rig: 1\n", [TICKET, {**TICKET, "state": "trailer_alone"}])
    assert [ticket["state"] for ticket in parse(two, "").data["weighings"]] == ["alone", "trailer_alone"]
    flow = with_tickets("weighings: []\n", [TICKET, TICKET])
    assert flow == f"weighings: [{LINE}, {LINE}]\n"


def test_where_a_ticket_would_change_something_else_it_is_refused():
    with pytest.raises(NoPlace, match="no list"):
        with_tickets("rig: 1\nweighings:\n", [TICKET])
    with pytest.raises(NoPlace, match="change its meaning"):
        with_tickets("rig: 1\nnote: |\n  a text without its last line break", [TICKET])


TEXTS = st.one_of(
    st.sampled_from(
        ["yes", "null", "1", "1.5", "~", "a: b", "a #b", "- x", "[x", "x]", "{", "'", '"', "\\", " a", "a ", "", "\t"]
    ),
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\ufffe\uffff"), max_size=12),
)
TICKETS = st.fixed_dictionaries(
    {"state": st.sampled_from(["alone", "coupled"])},
    optional={
        "at": TEXTS,
        "aboard": st.lists(TEXTS, max_size=3),
        "trailer_axles": st.dictionaries(TEXTS.filter(lambda t: t != "<<"), st.just("900 kg"), max_size=3),
    },
)
FILES = st.sampled_from(
    [
        "rig: 1\n", f"weighings:\n  - {ONE}\nrig: 1\n", f"weighings: [{ONE}]\n", "weighings: []\n", '{"rig": 1}\n',
        f"rig: 1 # ä\r\nweighings:\r\n- {ONE}",
    ]
)  # fmt: skip


@given(before=FILES, tickets=st.lists(TICKETS, min_size=1, max_size=3))
def test_whatever_a_ticket_says_is_read_back_and_every_other_character_stays(before, tickets):
    after = with_tickets(before, tickets)
    old = parse(before, "").data
    assert parse(after, "").data == {**old, "weighings": [*old.get("weighings", []), *tickets]}
    added(before, after)


@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_examples_take_tickets_in_any_layout_and_are_judged(data):
    """Every example as its owner wrote it, with other line ends, without its last line break, and as one line of JSON."""
    file = data.draw(st.sampled_from(EXAMPLES))
    text = file.read_text("utf-8")
    layout = data.draw(st.sampled_from(["as written", "crlf", "no last break", "json", "indented json"]))
    if "json" in layout:
        text = json.dumps(parse(text, "").data, indent=2 if layout == "indented json" else None)
    elif layout == "crlf":
        text = text.replace("\n", "\r\n")
    elif layout == "no last break":
        text = text.rstrip("\n")
    pounds = data.draw(st.integers(100, 400))
    ticket = {"state": "alone", "increment": "20 lb", "front": f"{10 * pounds} lb", "rear": "3000 lb"}
    after = with_tickets(text, [ticket])
    new = added(text, after)
    assert layout != "as written" or new.endswith("}\n") or "weighings: [" in text
    rig = read_rig(after, str(file))  # an option may name the file beside it
    assert rig.weighings[-1].readings["front"].number == pytest.approx(10 * pounds * 0.45359237)
    assert judge(rig).findings


@pytest.mark.parametrize(
    ("before", "path", "value", "after"),
    [
        ("a: {}  # none\nb: 1\n", ("a", "x"), "9 lb", "a: {x: 9 lb}  # none\nb: 1\n"),
        ("a: {é: ü} # é\nb: 1\n", ("a", "x y"), "no, not", 'a: {é: ü, x y: "no, not"} # é\nb: 1\n'),
        (
            "a:\n    é: 1 # one\n    # own\n# top\nb: 1\n",
            ("a", "x"),
            2,
            "a:\n    é: 1 # one\n    x: 2\n    # own\n# top\nb: 1\n",
        ),
        ("a:\n  b:\n    c: 1\n", ("a", "x"), {"y": {"z": "1 kg"}}, "a:\n  b:\n    c: 1\n  x: {y: {z: 1 kg}}\n"),
        ("a:\n- b: 1\n  c: 2\n- d: 3\n", ("a", 0, "x"), "4", 'a:\n- b: 1\n  c: 2\n  x: "4"\n- d: 3\n'),
        ('{"a": {"b": [1]}}', ("a", "x"), True, '{"a": {"b": [1], "x": true}}'),
        ("b: 1\n# end\n", ("x",), ["us", "us-co"], "b: 1\n# end\nx: [us, us-co]\n"),
    ],
)
def test_a_field_goes_to_the_end_of_what_it_belongs_to(before, path, value, after):
    wanted = parse(before, "").data
    here = wanted
    for part in path[:-1]:
        here = here[part]
    here[path[-1]] = value
    assert with_fields(before, wanted) == after


def test_a_field_that_is_there_is_not_changed():
    with pytest.raises(NoPlace):
        with_fields("a: 1\n", {"a": 2})
    with pytest.raises(NoPlace):
        with_fields("a: 1\nb: 2\n", {"a": 1})
    assert with_fields("a:   1 # one\n", {"a": 1}) == "a:   1 # one\n"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.name)
@settings(max_examples=10, deadline=None)
@given(note=st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=40))
def test_fields_go_into_examples_and_every_character_stays_in_order(path, note):
    before = path.read_text("utf-8")
    data = parse(before, "").data
    wanted = {
        name: {**each, "note": note} if isinstance(each, dict) and "note" not in each else each for name, each in data.items()
    }
    after = with_fields(before, wanted)
    assert parse(after, "").data == wanted
    rest = iter(after)
    assert all(character in rest for character in before)
