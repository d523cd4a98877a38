"""Whatever comes, reading gives a rig or FileProblems: damaged rigs, made-up structures, any text."""

import re

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from spec.small import TEXT

from rigmargin.spec import document, schema
from rigmargin.spec.problem import FileProblems, Problem
from rigmargin.spec.rig import parse
from rigmargin.spec.schema import catalogue


def only_file_problems(text):
    """Read ``text``; anything but a rig or FileProblems is an error. Each problem must say all three things."""
    found: tuple[Problem, ...] = ()
    try:
        parse(text, "f.yaml")
    except FileProblems as error:
        found = error.problems or (Problem("f.yaml", 0, 0, "", "", "", ""),)
    for problem in found:
        assert problem.found, problem
        assert problem.expected, problem
        assert problem.cure, problem
        assert "\n" not in str(problem)
        assert (problem.line == 0) == (problem.column == 0)


SPANS = [match.span() for match in re.finditer(r"[\w./]+(?: lb| in| ft| psi| gal)?", TEXT)]
BITS = ["|", ">", "[", "]", "{", "}", "*a", "&a ", "<<: ", "\t", "\n", "- ", "? ", "!!str ", '"', "'", "#", "lb", "9" * 20, ",",
        ".", "null", "true", "~", "\x07", "é", "\ufeff", "---\n", ": ", "[1, 2]", "{a: b}", "1e999", "-5 kg", "0.0", "value: ",
        '"\\x00"', "\u2028", "\r", "source: [a], ", "value: {value: 1 lb}, ", "nan kg", "1,5 t", "%"]  # fmt: skip
EDIT = st.one_of(
    st.tuples(st.just("delete"), st.integers(0, len(TEXT)), st.integers(1, 12)),
    st.tuples(st.just("insert"), st.integers(0, len(TEXT)), st.sampled_from(BITS)),
    st.tuples(st.just("swap"), st.integers(0, 40), st.integers(0, 40)),
    st.tuples(st.just("word"), st.sampled_from(SPANS), st.sampled_from([*BITS, *(TEXT[a:b] for a, b in SPANS)])),
)


def edited(text, edit):
    kind, where, what = edit
    if kind == "delete":
        return text[:where] + text[where + what :]
    if kind == "insert":
        return text[:where] + what + text[where:]
    if kind == "word":
        return text[: where[0]] + what + text[where[1] :]
    lines = text.splitlines(keepends=True)
    if max(where, what) < len(lines):
        lines[where], lines[what] = lines[what], lines[where]
    return "".join(lines)


@settings(max_examples=400, deadline=None)
@given(st.lists(EDIT, min_size=1, max_size=4))
def test_a_damaged_rig_is_read_or_refused_and_never_crashes(edits):
    text = TEXT
    for edit in edits:
        text = edited(text, edit)
    only_file_problems(text)


WORDS = sorted(
    {part for path in catalogue() for part in re.split(r"[.\[\]*]+", path) if part} | {"value", "plus_or_minus", "gvwr", "x"}
)
LEAF = st.one_of(
    st.none(), st.booleans(), st.integers(-5, 10**6), st.floats(allow_nan=False), st.text(max_size=8),
    st.sampled_from(["9900 lb", "-5 in", "1/3", "yes", "alone", "coupled", "manual", "2026-05-02",
                     "80 psi", "all", "12 %", "water"]),
)  # fmt: skip
TREE = st.recursive(
    LEAF, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=4), max_leaves=15
)


@settings(max_examples=300, deadline=None)
@given(st.fixed_dictionaries({}, optional=dict.fromkeys(schema.load()["properties"], TREE)))
def test_a_made_up_structure_is_read_or_refused_and_never_crashes(data):
    only_file_problems(yaml.dump(data, allow_unicode=True, sort_keys=False))


LIKE = yaml.safe_load(re.sub(r"(date|on): ([0-9-]+)", r"\1: '\2'", TEXT))
PATHS = [path for path, _ in document.walk(LIKE) if path]


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(PATHS), TREE)
def test_a_rig_with_one_part_replaced_is_read_or_refused_and_never_crashes(path, value):
    data = yaml.safe_load(yaml.safe_dump(LIKE))
    place = data
    for part in path[:-1]:
        place = place[part]
    place[path[-1]] = value
    only_file_problems(yaml.dump(data, allow_unicode=True, sort_keys=False))


@settings(max_examples=200)
@given(st.text())
def test_any_text_at_all(text):
    only_file_problems(text.encode("utf-8", "ignore").decode())
