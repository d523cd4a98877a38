"""Every file in specs_examples/broken holds one mistake; beside it stands the exact message its owner must get."""

import re
from pathlib import Path

import pytest
from spec.small import PARSERS

from rigmargin.spec import document, rig
from rigmargin.spec.problem import FileProblems, Problem

FOLDER = Path(__file__).parents[2] / "specs_examples" / "broken"
NAMES = sorted(path.stem for path in FOLDER.glob("*.yaml"))


def problems(name: str, monkeypatch: pytest.MonkeyPatch) -> tuple[Problem, ...]:
    monkeypatch.chdir(FOLDER)
    with pytest.raises(FileProblems) as caught:
        rig.load(f"{name}.yaml")
    return caught.value.problems


def test_each_file_has_its_message():
    assert len(NAMES) >= 24
    assert {path.stem for path in FOLDER.glob("*.expected")} == set(NAMES), "a file without its message, or the other way round"
    assert {path.suffix for path in FOLDER.iterdir()} == {".yaml", ".expected"}


@pytest.mark.parametrize("parser", PARSERS)
@pytest.mark.parametrize("name", NAMES)
def test_the_message_is_exactly_this(name, parser, monkeypatch):
    monkeypatch.setattr(document, "_LOADER", parser)
    said = "".join(f"{problem}\n" for problem in problems(name, monkeypatch))
    assert said == (FOLDER / f"{name}.expected").read_text("utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_one_mistake_gives_one_message(name, monkeypatch):
    assert len(problems(name, monkeypatch)) == 1
    assert 10 <= len((FOLDER / f"{name}.yaml").read_text("utf-8").splitlines()) <= 25


#: What a cure may ask its reader to do.
DOING = {
    "add", "begin", "check", "choose", "close", "copy", "correct", "define", "delete", "exchange", "give", "indent", "keep",
    "move", "name", "put", "rename", "replace", "use", "write",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_message_says_what_was_found_expected_and_to_do(name, monkeypatch):
    (problem,) = problems(name, monkeypatch)
    assert problem.found
    assert problem.expected
    assert set(re.findall(r"[a-z]+", problem.cure)) & DOING, "the cure must tell the owner to do something"
    assert str(problem).startswith(f"{name}.yaml:{problem.line}:{problem.column}: ")
    assert f"found {problem.found}; expected {problem.expected}; {problem.cure}" in str(problem)
    assert "\n" not in str(problem)


#: Files whose place is not the wrong text itself, with the text that does stand at the place, and why it is there.
ELSEWHERE = {
    "empty-value": "",  # there is nothing to point at: the place is right after the colon
    "implausible-row": "50000 lb",
    "limit-row-and-value": "{value: 5000 lb, unbraked: 1650 lb}",  # the mapping that holds both
    "list-as-name": "{",
    "list-for-mapping": "- {gawr: 3500 lb}",
    "missing-field": "coupling:",  # the name under which a line is missing
    "missing-section": "rig: 1",  # the beginning of the file
    "plan-person-left": "may_stay_behind",
    "plan-range-reversed": "3/4",
    "open-bracket": ":",  # where the reader could not go on; the message names the opening bracket
    "colon-in-text": ": the pair",
    "tab-indentation": "\t",
    "second-document": "---",
    "control-character": '"Brook',
    "row-source-outside": "{braked: 5000 lb, source: manual}",
    "share-band-reversed": "15 %",
    "synonyms-both": "max_mass:",
    "text-for-mapping": "weight_carrying",
    "bars-without-bars": "coupled_distributing",
    "ticket-after-date": "2026-06-01",
    "ticket-mixed-units": "1090 kg",
    "ticket-three-axles": "[2400 lb, 2300 lb]",
    "ticket-without-increment": "state:",  # the ticket's first line
    "ticket-without-reading": "state:",
    "certificate-without-number": "certificate:",  # the name under which a line is missing
    "option-from-itself": "from option-from-itself.yaml",
    "option-from-outside": "from ../elsewhere.yaml",
    "option-needs-what-it-excludes": "[leave it]",
    "tyre-load-table-kilograms": "{pressure: 35 psi, single: 650 lb}",
    "tyre-load-table-no-load": "{pressure: 35 psi}",
    "tyre-load-table-out-of-order": "{pressure: 35 psi, single: 1430 lb}",
    "tyre-marking-decimal-comma": ",5 128/126N",
    "tyre-marking-temporary-spare": "T145/80D18",
}


@pytest.mark.parametrize("name", NAMES)
def test_the_place_is_where_the_mistake_stands(name, monkeypatch):
    (problem,) = problems(name, monkeypatch)
    lines = (FOLDER / f"{name}.yaml").read_text("utf-8").split("\n")
    there = lines[problem.line - 1][problem.column - 1 :]
    if name in ELSEWHERE:
        assert there.startswith(ELSEWHERE[name])
        assert name != "empty-value" or there == ""
        return
    quoted = re.search(r"'(.+?)'(?=$|,| )", problem.found)
    text = quoted[1] if quoted else problem.found.removeprefix("the bare number ")
    assert there.startswith(text)
