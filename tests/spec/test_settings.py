"""The settings file: which one counts, what it says, every mistake in it, and which of several values wins."""

import itertools
import os
import pickle
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from rigmargin.spec import schema, settings, settings_file, stated
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.settings import NONE, Origin, Settings, WrongVariables, merged

FULL = """\
settings: 1
places: [us, us-co]
units: metric
rules: ours
reserve: {payload: 10 %, trailer.axles: 7.5 %}
evidence: {owner_estimate: 30 %, scale_ticket: 10 kg}
exceptions:
  - {rig: a.yaml, rule: payload, reason: Weighed again in May, by: the weights officer, until: 2026-09-01}
"""


def write(folder, text, name=settings_file.NAME):
    (folder / "ours").mkdir(exist_ok=True)
    file = folder / name
    file.write_text(text, "utf-8")
    return str(file)


def read(folder, text):
    return settings_file.read(write(folder, text))


def test_what_is_read(tmp_path):
    kept = read(tmp_path, FULL)
    assert (kept.places, kept.units) == (("us", "us-co"), "metric")
    assert [(f.name, f.path, f.runs) for f in kept.rules] == [("ours", str(tmp_path / "ours"), False)]
    assert {key: (figure.si, figure.text) for key, figure in kept.reserve.items()} == {
        "payload": (0.1, "10 %"), "trailer.axles": (0.075, "7.5 %"),
    }  # fmt: skip
    assert kept.evidence["scale_ticket"].si == 10.0
    (accepted,) = kept.exceptions
    assert (accepted.rig, accepted.rule, accepted.subject, accepted.state) == ("a.yaml", "payload", "", "")
    assert (accepted.by, accepted.until, str(accepted.origin)) == ("the weights officer", "2026-09-01", "rigmargin.yaml:8")
    assert [str(kept.origin(name)) for name in ("places", "units")] == ["rigmargin.yaml:2", "rigmargin.yaml:3"]
    assert str(kept.reserve["trailer.axles"].origin) == "rigmargin.yaml:5"


#: What each source says of the units; the stronger stands further right.
SAID = {"file": "us", "variable": "metric", "option": "both"}
WINS = {"file": "rigmargin.yaml:2", "variable": "RIGMARGIN_UNITS", "option": "--units"}


@pytest.mark.parametrize("says", [c for n in range(4) for c in itertools.combinations(SAID, n)], ids="+".join)
def test_default_gives_way_to_file_to_environment_to_command_line(says, tmp_path):
    file = read(tmp_path, "settings: 1\nunits: us\n") if "file" in says else NONE
    environment = {"RIGMARGIN_UNITS": "metric"} if "variable" in says else {}
    made = merged(file, environment, {"units": ["both"] if "option" in says else []})
    last = says[-1] if says else ""
    assert (made.units, str(made.origin("units"))) == (SAID.get(last, "rig"), WINS.get(last, "default"))


def test_places_of_the_environment_go_before_those_of_the_file(tmp_path):
    kept = read(tmp_path, FULL)
    for text in ("de fr", "de,fr", " de, fr de "):
        made = merged(kept, {"RIGMARGIN_PLACES": text}, {})
        assert (made.places, str(made.origin("places"))) == (("de", "fr"), "RIGMARGIN_PLACES")
    assert merged(kept, {"RIGMARGIN_PLACES": ""}, {}).places == ("us", "us-co")


def test_folders_of_rules_come_together_and_none_falls_away(tmp_path):
    kept = read(tmp_path, FULL)
    made = merged(kept, {"RIGMARGIN_RULES": f"one{os.pathsep}two"}, {"rules": ["three"]})
    assert [(folder.name, folder.runs, str(folder.origin)) for folder in made.rules] == [
        ("ours", False, "rigmargin.yaml:4"),
        ("one", True, "RIGMARGIN_RULES"),
        ("two", True, "RIGMARGIN_RULES"),
        ("three", True, "--rules"),
    ]


def test_a_folder_named_again_is_there_once_and_runs_when_its_user_names_it(tmp_path):
    made = merged(read(tmp_path, FULL), {}, {"rules": [f"{tmp_path}/./ours"]})
    assert [(folder.runs, str(folder.origin)) for folder in made.rules] == [(True, "--rules")]


def test_python_of_a_file_that_was_named_may_run(tmp_path):
    kept = settings_file.read(write(tmp_path, FULL), Origin("option", "--settings"))
    assert kept.rules[0].runs


def test_nothing_said_changes_nothing():
    assert merged(NONE, {"HOME": "/x", "UNITS": "us"}, {"units": [], "rules": []}) == NONE


def test_variables_that_cannot_be_meant_are_told_all_at_once():
    told = {"RIGMARGIN_UNIT": "us", "RIGMARGIN_UNITS": "metrc", "RIGMARGIN_PLACES": "us uk zz", "RIGMARGIN_QQQ": "1"}
    with pytest.raises(WrongVariables) as caught:
        merged(NONE, told, {})
    every = "RIGMARGIN_SETTINGS, RIGMARGIN_PLACES, RIGMARGIN_UNITS, RIGMARGIN_WORDS, RIGMARGIN_RULES"
    assert str(caught.value).splitlines() == [
        f"RIGMARGIN_QQQ: found a variable of no meaning; expected one of {every}; unset it",
        f"RIGMARGIN_UNIT: found a variable of no meaning; expected one of {every}; write RIGMARGIN_UNITS, if that is meant",
        "RIGMARGIN_PLACES: found 'uk'; expected the code of a place; write 'gb', if that is meant",
        "RIGMARGIN_PLACES: found 'zz'; expected the code of a place; write the ISO 3166 code, a state after a hyphen",
        "RIGMARGIN_UNITS: found 'metrc'; expected one of rig, us, metric, both; write metric, if that is meant",
    ]


A_LIST = "expected a list; begin each entry on its own line with '- ', or write [ ] around them"
NOTHING = "found nothing; expected at least something; write it, or delete the line"
TWICE = "found the same entry twice; expected each entry once; delete the repeated entry"
#: One mistake each, and the exact message without the file's name.
BROKEN = {
    "places: [us]": (
        "1:1: settings: found no field 'settings'; expected the version of this file's format; add 'settings: …'; write 1"
    ),
    "settings: 2": "1:11: settings: found '2'; expected 1; write 1, if that is meant",
    "settings: 1\nplace: [us]": (
        "2:1: place: found the unknown field 'place'; expected 'places'; write 'places', if that is meant"
    ),
    "settings: 1\ncolour: red": (
        "2:1: colour: found the unknown field 'colour'; expected one of settings, places, units, words, rules, reserve, "
        "evidence, exceptions; delete the line, or say it in a note"
    ),
    "settings: 1\nplaces: us": f"2:9: places: found 'us'; {A_LIST}",
    "settings: 1\nplaces: []": f"2:9: places: {NOTHING}",
    "settings: 1\nplaces: [us, us]": f"2:9: places: {TWICE}",
    "settings: 1\nplaces: [us, uk]": "2:14: places[1]: found 'uk'; expected the code of a place; write 'gb', if that is meant",
    "settings: 1\nplaces: [US]": (
        "2:10: places[0]: found 'US'; expected one lower-case place code, such as us, de or us-co; write it like this: us or "
        "us-co or eu"
    ),
    "settings: 1\nunits: metrik": (
        "2:8: units: found 'metrik'; expected one of rig, us, metric, both; write metric, if that is meant"
    ),
    "settings: 1\nrules: nowhere": (
        "2:8: rules: found 'nowhere'; expected a folder, seen from this file; correct the name, or make the folder"
    ),
    "settings: 1\nreserve: {}": f"2:10: reserve: {NOTHING}",
    "settings: 1\nreserve: {payload: 10}": (
        "2:20: reserve.payload: found the bare number 10; expected a ratio such as 12 %; add the unit the label uses: 10 %"
    ),
    "settings: 1\nreserve: {payload: 60 %}": (
        "2:20: reserve.payload: found '60 %'; expected 0 to 50 % (Reserve); check the digits and the unit"
    ),
    "settings: 1\nreserve: {payload: 500 lb}": (
        "2:20: reserve.payload: found '500 lb', which is a mass; expected a ratio such as 12 %; check that this is the right "
        "field; a ratio is in %"
    ),
    "settings: 1\nevidence: {owner_estimat: 10 %}": (
        "2:12: evidence.owner_estimat: found the unknown field 'owner_estimat'; expected 'owner_estimate'; write "
        "'owner_estimate', if that is meant"
    ),
    "settings: 1\nevidence: {owner_estimate: 0 %}": (
        "2:28: evidence.owner_estimate: found '0 %'; expected 1 to 100 % (An owner's estimate); check the digits and the unit"
    ),
    "settings: 1\nevidence: {scale_ticket: 20 psi}": (
        "2:26: evidence.scale_ticket: found '20 psi', which is a pressure; expected a mass such as 9900 lb or 4490 kg; check "
        "that this is the right field; a mass is in kg, t, g, lb, oz"
    ),
    "settings: 1\nexceptions: {rig: a}": f"2:13: exceptions: found a mapping; {A_LIST}",
    "settings: 1\nexceptions:\n  - {rig: a, rule: payload, reason: r, by: b}": (
        "3:5: exceptions[0].until: found no field 'until'; expected the last day it is accepted for; add 'until: …'; write the "
        "day as 2026-09-01"
    ),
    "settings: 1\nexceptions:\n  - {rig: a, rule: payload, reason: r, by: b, until: next year}": (
        "3:54: exceptions[0].until: found 'next year'; expected a day as year-month-day; write for example 2026-05-02"
    ),
    "settings: 1\nexceptions:\n  - {rig: a, rule: payload, reason: '', by: b, until: 2026-09-01}": (
        "3:37: exceptions[0].reason: found nothing; expected at least something; write it, or delete the line"
    ),
    "settings: 1\nexceptions:\n  - {rig: a, rule: payload, state: alone, reason: r, by: b, until: 2026-09-01}": (
        "3:36: exceptions[0].state: found 'alone'; expected coupled or coupled_distributing; choose one of these"
    ),
    "settings: 1\nexceptions:\n  - {rig: '{word:ball}', rule: payload, reason: r, by: b, until: 2026-09-01}": (
        "3:11: exceptions[0].rig: found a mark for the regional word 'ball'; expected plain text; write the word itself"
    ),
    "settings: 1\nunits: us\nunits: metric": (
        "3:1: units: found 'units' a second time; expected it once (it stands at 2:1); delete or rename one of the two"
    ),
}


@pytest.mark.parametrize("text", BROKEN, ids=lambda text: re.sub(r"\W+", "-", text.removeprefix("settings: 1\n"))[:60])
def test_each_mistake_has_its_place_and_its_cure(text, tmp_path):
    file = write(tmp_path, f"{text}\n")
    with pytest.raises(FileProblems) as caught:
        settings_file.read(file)
    assert [str(problem).removeprefix(f"{file}:") for problem in caught.value.problems] == [BROKEN[text]]


def test_all_mistakes_are_told_at_once_by_line(tmp_path):
    text = "settings: 1\nunits: m\nreserve: {payload: 99 %, trailer: x}\nevidence: {brochure: 0 %}\nrules: no\n"
    with pytest.raises(FileProblems) as caught:
        read(tmp_path, text)
    assert [problem.line for problem in caught.value.problems] == [2, 3, 3, 4, 5]


def test_what_is_no_file_is_told(tmp_path):
    (tmp_path / "rigmargin.yaml").mkdir()
    with pytest.raises(FileProblems, match="found a folder; expected one YAML file"):
        settings_file.read(settings_file.nearest(tmp_path))


def test_the_nearest_file_counts_up_to_the_top_of_the_work_tree(tmp_path, monkeypatch):
    top, inner = tmp_path / "club", tmp_path / "club" / "members" / "north"
    inner.mkdir(parents=True)
    write(tmp_path, FULL)  # above the work tree: never
    write(top, FULL)
    assert settings_file.nearest(inner) == ""  # no git: only the folder itself
    (top / ".git").write_text("gitdir: elsewhere", "utf-8")  # a linked work tree has a file there
    assert settings_file.nearest(inner) == str(top / "rigmargin.yaml")
    write(inner.parent, FULL)
    assert settings_file.nearest(inner) == str(inner.parent / "rigmargin.yaml")
    monkeypatch.chdir(top)
    assert settings_file.nearest("members/north") == os.path.join("members", "rigmargin.yaml")
    (top / "rigmargin.yaml").unlink()
    assert settings_file.nearest(".") == ""


def test_a_settings_file_whose_name_ends_otherwise_is_not_left_out_unseen(tmp_path):
    (tmp_path / "rigmargin.yml").write_text(FULL, "utf-8")
    with pytest.raises(FileProblems, match=r"found settings in a file called rigmargin\.yml; expected rigmargin\.yaml; rename"):
        settings_file.read(settings_file.nearest(tmp_path))
    write(tmp_path, FULL)
    assert settings_file.nearest(tmp_path) == str(tmp_path / "rigmargin.yaml")


def test_settings_can_be_sent_to_another_process(tmp_path):
    kept = read(tmp_path, FULL)
    assert pickle.loads(pickle.dumps(kept)) == kept


def test_the_fingerprint_tells_what_differs_and_nothing_of_the_machine(tmp_path):
    here, there = tmp_path / "a", tmp_path / "b"
    here.mkdir()
    there.mkdir()
    first, again = read(here, FULL), read(there, FULL)
    assert first.fingerprint() == again.fingerprint()
    assert str(tmp_path) not in first.fingerprint()
    changes = {
        "us-co": "us-ut", "metric": "both", "10 %": "11 %", "30 %": "31 %", "10 kg": "20 kg", "in May": "in June",
        "09-01": "09-02", "a.yaml": "b.yaml", "units:": "# moved\nunits:",
    }  # fmt: skip
    made = {read(here, FULL.replace(old, new)).fingerprint() for old, new in changes.items()}
    assert len(made | {first.fingerprint(), NONE.fingerprint()}) == len(changes) + 2
    assert replace(first, rules=(replace(first.rules[0], runs=True),)).fingerprint() != first.fingerprint()


def test_the_schema_is_one_and_says_something_of_each_field():
    node = schema.load(schema.SETTINGS)
    jsonschema.Draft202012Validator.check_schema(node)

    def fields(inner):
        for name, child in inner.get("properties", {}).items():
            yield name, child
            yield from fields(child)
            yield from fields(child.get("items", {}))

    for name, child in fields(node):
        assert child["title"], name
        assert re.match(r".+\. .+", child["description"]), name  # what it is, then what to write
    assert node["properties"]["units"]["enum"] == list(settings.UNITS)


def test_every_convention_with_a_width_can_be_settled_and_no_printed_limit():
    entries = schema.load(schema.SETTINGS)["properties"]["evidence"]["properties"]
    rows = stated.conventions()
    wide = {name for name, row in rows.items() if row["increment"] or float(row["plus_or_minus_percent"] or 0)}
    assert set(entries) == wide
    for name, node in entries.items():
        usual = rows[name]["increment"] or f"{rows[name]['plus_or_minus_percent']} %"
        assert node["examples"] == [usual]
        assert node["description"].endswith(f"it is {usual}.")


def test_a_settings_file_is_no_rig_and_no_regulation(tmp_path):
    from rigmargin.judge import local

    assert not local.is_regulation(Path(write(tmp_path, FULL)))
    assert isinstance(read(tmp_path, "settings: 1\n"), Settings)
