"""The plain reader and the careful one give the same, or the plain one gives nothing."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spec.small import PARSERS, TEXT
from spec.test_fuzz import EDIT, edited

from rigmargin.spec import document, plain
from rigmargin.spec.problem import FileProblems

TOP = Path(__file__).parents[2]
OURS = sorted([*(TOP / "specs_examples").glob("*.yaml"), *(TOP / "rules" / "regulations").glob("*.yaml")])
BROKEN = sorted((TOP / "specs_examples" / "broken").glob("*.yaml"))


@pytest.fixture(params=PARSERS, autouse=True)
def parser(request, monkeypatch):
    monkeypatch.setattr(document, "_LOADER", request.param)


def agree(text):
    """Whether the plain reader reads ``text``; if so, just what the careful one reads, which then has nothing to refuse."""
    found = plain.read(text, document._LOADER)
    if found is not None:
        careful = document.carefully(text, "f.yaml")
        assert careful.problems == ()
        assert found == (careful.data, careful.values, careful.keys)
        assert repr(found[0]) == repr(careful.data), "the same kinds of numbers, in the same order"
    return found is not None


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_every_file_we_ship_is_read_plainly(path):
    assert agree(path.read_text("utf-8"))


def test_the_two_agree_on_every_broken_file():
    plainly = [agree(path.read_text("utf-8")) for path in BROKEN]
    assert {True, False} == set(plainly)


ODD = {
    "an anchor": "a: &x 1\n", "an alias": "a: &x 1\nb: *x\n", "a tag": "a: !!str 1\n", "a plain tag": "a: ! 1\n",
    "a name twice": "a: 1\na: 2\n", "a merge": "<<: {a: 1}\n", "a list as a name": "[a]: 1\n",
    "a mapping as a name": "{a: 1}: 2\n",
    "a second document": "a: 1\n---\nb: 2\n", "an end and more": "a: 1\n...\nb: 2\n", "nothing": "", "a remark": "# only\n",
    "a list": "[1, 2]\n", "a word": "a\n", "an escaped control character": 'a: "\\x07"\n', "a control character": "a: \x07\n",
    "an anchored list": "a: &x [1]\n", "a tagged mapping": "a: !!map {b: 1}\n", "an anchored name": "&x a: 1\n",
    "a bracket left open": "a: [1\n", "a tab": "a:\n\tb: 1\n", "a tagged file": "!!map {a: 1}\n",
    "half a character": "a: \ud800\n",
    "too many levels": "a: " + "[" * 40 + "]" * 40 + "\n",
}  # fmt: skip


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_what_is_odd_is_left_to_the_careful_reader(text):
    assert plain.read(text, document._LOADER) is None


USUAL = {
    "an empty value": "a:\nb: 1\n", "quotes": "'a': 1\n\"b\": '1'\n",
    "kinds": "a: [1, 1.0, -0, 1e3, true, null, ~, no, 010, '']\n",
    "one document with marks": "---\na: 1\n...\n", "nesting": "a: [{b: [c, {}]}, []]\n",
    "blocks": "a: |\n  x\n  y\nb: >-\n  z\n",
    "escapes": 'a: "\\u00e9\\t"\n', "levels enough": "a: " + "[" * 38 + "]" * 38 + "\n", "names as numbers": "1: a\nnull: b\n",
}  # fmt: skip


@pytest.mark.parametrize("text", USUAL.values(), ids=USUAL)
def test_what_is_usual_is_read_plainly(text):
    assert agree(text)


@settings(max_examples=300, deadline=None)
@given(st.lists(EDIT, min_size=1, max_size=4))
def test_the_two_agree_on_damaged_rigs(edits):
    text = TEXT
    for edit in edits:
        text = edited(text, edit)
    try:
        agree(text)
    except FileProblems:
        pytest.fail("the careful reader refuses what the plain one has read")


@settings(max_examples=200)
@given(st.text(alphabet="ab:-?[]{}&*!|>'\"%@`#, \n\t\\x01é"))
def test_the_two_agree_on_any_text(text):
    try:
        agree(text)
    except FileProblems:
        pytest.fail("the careful reader refuses what the plain one has read")
