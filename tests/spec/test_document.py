"""Text to data and positions: scalars, encodings, refusals, and files no person would write."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from spec.small import PARSERS

from rigmargin.spec import document
from rigmargin.spec.document import MAX_BYTES, MAX_DEPTH, dotted, parse, read, scalar, walk
from rigmargin.spec.problem import FileProblems


@pytest.fixture(params=PARSERS, autouse=True)
def parser(request, monkeypatch):
    """Every test here runs with libyaml and with the Python reader that stands in where libyaml is not built in."""
    monkeypatch.setattr(document, "_LOADER", request.param)


def problems(text):
    with pytest.raises(FileProblems) as caught:
        parse(text, "f.yaml")
    return caught.value.problems


def said(text):
    return [str(problem) for problem in problems(text)]


# --- positions ---------------------------------------------------------------------------------------------------------

BY_HAND = """\
rig: 1
tow_vehicle:
  kind: pickup   # a remark
  axles:
    front: {gawr: 3500 lb, tyres: {count: 2}}
    "rear axle":
      gawr: 'x'
places: [us, us-co]
weighings:
- state: alone
  front:   20 lb
-
  state: coupled
note: |
  two
  lines
"""

# counted by hand in the text above: path, the key's place (None for a list entry), the value's place
PLACES = [
    ("rig", (1, 1), (1, 6)),
    ("tow_vehicle", (2, 1), (3, 3)),
    ("tow_vehicle.kind", (3, 3), (3, 9)),
    ("tow_vehicle.axles", (4, 3), (5, 5)),
    ("tow_vehicle.axles.front", (5, 5), (5, 12)),
    ("tow_vehicle.axles.front.gawr", (5, 13), (5, 19)),
    ("tow_vehicle.axles.front.tyres", (5, 28), (5, 35)),
    ("tow_vehicle.axles.front.tyres.count", (5, 36), (5, 43)),
    ("tow_vehicle.axles.rear axle", (6, 5), (7, 7)),
    ("tow_vehicle.axles.rear axle.gawr", (7, 7), (7, 13)),
    ("places", (8, 1), (8, 9)),
    ("places[0]", None, (8, 10)),
    ("places[1]", None, (8, 14)),
    ("weighings", (9, 1), (10, 1)),
    ("weighings[0]", None, (10, 3)),
    ("weighings[0].state", (10, 3), (10, 10)),
    ("weighings[0].front", (11, 3), (11, 12)),
    ("weighings[1]", None, (13, 3)),
    ("weighings[1].state", (13, 3), (13, 10)),
    ("note", (14, 1), (14, 7)),
]


def test_every_key_and_value_has_its_place():
    read_ = parse(BY_HAND, "f.yaml")
    assert read_.data["note"] == "two\nlines\n"
    values = {dotted(path): place for path, place in read_.values.items() if path}
    assert values == {path: value for path, _, value in PLACES}
    assert {dotted(path): place for path, place in read_.keys.items()} == {path: key for path, key, _ in PLACES if key}
    assert [dotted(path) for path, _ in walk(read_.data)] == ["", *(path for path, _, _ in PLACES)]


def test_crlf_and_bom_move_nothing(tmp_path):
    plain, windows = tmp_path / "a.yaml", tmp_path / "b.yaml"
    plain.write_bytes(BY_HAND.encode())
    windows.write_bytes(b"\xef\xbb\xbf" + BY_HAND.replace("\n", "\r\n").encode())
    assert read(windows).values == read(plain).values
    assert read(windows).keys == read(plain).keys
    assert read(windows).data == read(plain).data


def test_columns_count_characters_not_bytes():
    read_ = parse("name: {été: 東京, ship: 🚢, b: 1}\n", "f.yaml")
    assert read_.data == {"name": {"été": "東京", "ship": "🚢", "b": 1}}
    # n a m e : _ { é t é : _ 東 京 , _ s h i p : _ 🚢 , _ b : _ 1
    # 1 2 3 4 5 6 7 8 9 . 11    13    16        .  23    26  29
    assert read_.keys["name", "ship"] == (1, 17)
    assert read_.values["name", "ship"] == (1, 23)
    assert read_.keys["name", "b"] == (1, 26)
    assert read_.values["name", "b"] == (1, 29)


def test_a_place_that_is_not_in_the_file_is_its_parents():
    read_ = parse("a: 1\nb: {c: 2}\n", "f.yaml")
    assert read_.place(("b", "nothing", "here")) == read_.place(("b",)) == (2, 4)
    assert read_.key_place(("b", "nothing")) == (2, 1)
    assert read_.place(("nothing",)) == (1, 1)


# --- scalars -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["no", "NO", "on", "off", "yes", "y", "1:30", "010", "0x1F", "0o17", "1_000", "2026-05-02", ".nan", ".inf", "=", "~",
     "Null", "True", "FALSE", "+1", ".5", "5.", "1e", "--1", "1e999", "-1e999", "9" * 16, "٣", "1.٣", "NaN", "Infinity"],
)  # fmt: skip
def test_what_json_does_not_know_stays_text(text):
    assert parse(f"a: {text}\n", "f.yaml").data == {"a": text}


@pytest.mark.parametrize(
    ("text", "value"),
    [("true", True), ("false", False), ("null", None), ("", None), ("0", 0), ("-0", 0), ("12", 12), ("-7", -7),
     ("1e3", 1000.0), ("1.50", 1.5), ("2E-1", 0.2), ("9" * 15, 999999999999999)],
)  # fmt: skip
def test_what_json_knows_is_read_by_json(text, value):
    found = parse(f"a: {text}\n", "f.yaml").data["a"]
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize("text", ["true", "12", "null", ""])
def test_quotes_keep_text(text):
    assert parse(f"a: '{text}'\nb: \"{text}\"\n", "f.yaml").data == {"a": text, "b": text}


@given(st.text())
def test_no_scalar_is_an_unusable_number(text):
    found = scalar(text)
    assert not isinstance(found, float) or math.isfinite(found)


def test_keys_are_always_text():
    assert list(parse("1: a\ntrue: b\nnull: c\n", "f.yaml").data) == ["1", "true", "null"]


def test_block_scalars():
    assert parse("a: >\n  one\n  two\nb: |-\n  x\n  y\n", "f.yaml").data == {"a": "one two\n", "b": "x\ny"}


# --- refusals ----------------------------------------------------------------------------------------------------------


def test_all_refusals_of_a_text_are_told_at_once():
    read_ = parse("a: &x 1\nb: *x\na: 2\nc: !t 3\n? [d]\n: 4\ne: 5\n", "f.yaml")
    assert [(p.line, p.column) for p in read_.problems] == [(1, 4), (2, 4), (3, 1), (4, 4), (5, 3)]
    assert read_.data["e"] == 5, "what follows a key that is a list is still read in step"


def test_a_mapping_as_a_key_leaves_the_rest_readable():
    read_ = parse("? {x: {y: [1, 2]}}\n: {z: 1}\nb: 2\n", "f.yaml")
    assert read_.data == {"b": 2}
    assert [p.found for p in read_.problems] == ["a list or mapping as a name"]


def test_an_alias_as_a_key():
    read_ = parse("a: &x b\n*x : 1\nc: 2\n", "f.yaml")
    assert read_.data == {"a": "b", "c": 2}
    assert [p.found for p in read_.problems] == ["the anchor '&x'", "the alias '*x'"]


def test_a_merge_key_in_quotes_is_an_ordinary_name():
    assert parse("'<<': 1\n", "f.yaml").data == {"<<": 1}


def test_a_second_document_does_not_move_the_first():
    read_ = parse("a: 1\n---\nzz: 1\na: 2\n", "f.yaml")
    assert read_.data == {"a": 1}
    assert read_.keys["a",] == (1, 1)
    assert [str(p) for p in read_.problems] == [
        "f.yaml:2:1: found a second document ('---'); expected one document a file; put it in a file of its own"
    ]


@pytest.mark.parametrize("escape", [r"\0", r"\x1b", r"\x7f", r"\x9b"])
def test_a_control_character_by_escape_is_refused_like_one_in_the_file(escape):
    read_ = parse(f'a: "x{escape}"\n', "f.yaml")
    assert [(p.line, p.column, p.path) for p in read_.problems] == [(1, 4, "a")]
    assert "control character" in read_.problems[0].found


def test_a_half_of_a_character_by_escape_never_becomes_data():
    try:
        refused = parse('a: "\\ud800"\n', "f.yaml").problems
    except FileProblems as error:  # libyaml itself refuses it
        refused = error.problems
    assert len(refused) == 1


def test_a_control_character_in_the_file():
    assert said("a: 1\nb: x\x07y\n") == ["f.yaml:2:5: found the control character U+0007; expected printable text; delete it"]


def test_tabs_inside_text_and_new_lines_are_fine():
    assert parse('a: "x\\ty\\nz"\n', "f.yaml").data == {"a": "x\ty\nz"}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a: 1\n\tb: 2\n", "f.yaml:2:1: found a tab in the indentation; expected spaces only; replace the tab by spaces"),
        ("a: b: c\n", "f.yaml:1:5: found a second ': ' here, or a line indented more than the one above; "
         "expected one 'name: value' a line; "
         "put the text in quotes or the mapping in { }, or indent the line as its neighbours are"),
        ("a: [1, 2\nb: 3\n", "f.yaml:2:2: found neither a comma nor a closing bracket; expected ']' for what opens at 1:4; "
         "close what opens at 1:4, or put a comma before this"),
        ("a: {b: 1]\n", "f.yaml:1:9: found neither a comma nor a closing bracket; expected '}' for what opens at 1:4; "
         "close what opens at 1:4, or put a comma before this"),
        ("a: 'x\n", "f.yaml:2:1: found text that goes on; expected the closing quote for what opens at 1:4; "
         "close what opens at 1:4, or put a comma before this"),
        ("a: @x\n", "f.yaml:1:4: found '@' at the start of a value; expected plain text; put the text in quotes"),
        ("a: `x\n", "f.yaml:1:4: found '`' at the start of a value; expected plain text; put the text in quotes"),
        ("a: &\n", "f.yaml:1:5: found '&', which starts an anchor or alias; expected plain text; put the text in quotes"),
    ],
)  # fmt: skip
def test_broken_yaml_gives_one_clear_line_with_its_place(text, message):
    assert said(text) == [message]


# --- whole files -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "found"),
    [("", "nothing"), ("# only a remark\n", "nothing"), ("---\n", "nothing"), ("- a\n- b\n", "a list"), ("[]\n", "a list"),
     ("just words\n", "a single value"), ("12\n", "a single value"), ("''\n", "a single value")],
)  # fmt: skip
def test_a_file_that_is_no_mapping(text, found):
    assert said(text) == [
        f"f.yaml: found {found}; expected a mapping of fields, one 'name: value' a line; begin the file with its first field"
    ]


@pytest.mark.parametrize("levels", [MAX_DEPTH, 5000, 100_000])
@pytest.mark.parametrize(
    "text",
    [pytest.param(lambda n: "a: " + "[" * n, id="flow lists"), pytest.param(lambda n: "a: " + "{b: " * n, id="flow mappings"),
     pytest.param(lambda n: "a:\n" + " - " + "- " * n + "x\n", id="block lists")],
)  # fmt: skip
def test_deep_nesting_is_refused_without_recursion(text, levels):
    (problem,) = problems(text(levels))
    assert problem.found == f"more than {MAX_DEPTH} levels of nesting"
    assert problem.line in (1, 2)


def test_deep_block_mappings():
    text = "".join(f"{' ' * n}a:\n" for n in range(1200))
    (problem,) = problems(text)
    assert problem.found == f"more than {MAX_DEPTH} levels of nesting"
    assert (problem.line, problem.column) == (MAX_DEPTH + 1, MAX_DEPTH + 1)


def test_deep_nesting_inside_a_name():
    with pytest.raises(FileProblems):
        parse("? " + "[" * 5000 + "\n: 1\n", "f.yaml")


def test_as_deep_as_allowed():
    text = "a: " + "[" * (MAX_DEPTH - 1) + "]" * (MAX_DEPTH - 1)
    assert len(list(walk(parse(text, "f.yaml").data))) == MAX_DEPTH


def refusal(path):
    with pytest.raises(FileProblems) as caught:
        read(path)
    (problem,) = caught.value.problems
    return problem


def test_missing_file():
    assert str(refusal("nowhere.yaml")) == (
        "nowhere.yaml: found no readable file (no such file or directory); expected a YAML file; "
        "check the name and its permissions"
    )


def test_folder(tmp_path):
    assert str(refusal(tmp_path)) == f"{tmp_path}: found a folder; expected one YAML file; name the file itself"


def test_a_name_no_file_can_have():
    assert str(refusal("a\0b.yaml")) == (
        "a\\x00b.yaml: found a name no file can have; expected the name of a YAML file; check the name"
    )


def test_a_device_is_not_read():
    assert refusal("/dev/zero").found == "something that is not a file"


def test_a_name_that_is_too_long():
    assert refusal("x" * 5000).found.startswith("no readable file (")


def test_a_file_over_the_limit(tmp_path):
    path = tmp_path / "big.yaml"
    path.write_text("a: " + "x" * (MAX_BYTES - 3))
    assert len(read(path).data["a"]) == MAX_BYTES - 3
    path.write_text("a: " + "x" * (MAX_BYTES - 2))
    assert str(refusal(path)) == (
        f"{path}: found {MAX_BYTES + 1} bytes; expected at most {MAX_BYTES} bytes (1 MiB); check that this is the right file"
    )


@pytest.mark.parametrize(
    ("raw", "place", "byte"),
    [(b"a: 1\nb: caf\xe9\n", (2, 7), "0xe9"), ("a: \u00e9".encode() + b"\xff", (1, 5), "0xff"),
     ("a: 1\n".encode("utf-16"), (1, 1), "0xff"), (b"\xef\xbb\xbfa: \xfe", (1, 4), "0xfe"),
     (b"a: \xed\xa0\x80\n", (1, 4), "0xed")],  # the last is half of a character (a lone surrogate): it cannot arrive
)  # fmt: skip
def test_a_file_that_is_not_utf8(tmp_path, raw, place, byte):
    path = tmp_path / "old.yaml"
    path.write_bytes(raw)
    problem = refusal(path)
    assert (problem.line, problem.column) == place
    assert (problem.found, problem.expected, problem.cure) == (f"the byte {byte}", "text in UTF-8", "save the file as UTF-8")
