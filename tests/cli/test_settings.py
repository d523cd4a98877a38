"""Settings as a person meets them: which file counts, what every answer shows of it, and what a bad one does."""

import json
import shutil
from html.parser import HTMLParser
from pathlib import Path

import jsonschema
import pytest
import schemas
from markup import without_own_scripts

from rigmargin.cli import main
from rigmargin.judge import plugins
from rigmargin.spec import schema

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
HOSTILE = "<script>alert(1)</script> | *x* \u202e [a](b)"
SETTINGS = f"""\
settings: 1
reserve: {{trailer-gross: 50 %}}
exceptions:
  - {{rig: rig.yaml, rule: payload, reason: {json.dumps(HOSTILE)}, by: {json.dumps(HOSTILE)}, until: 2026-12-31}}
"""
RIG = "alder-creek-fifth-wheel"  # over its payload; dated 2026-06-01; with options and things that may be moved
#: Every command that answers for a rig, with what it is called by.
ANSWERS = {
    "report": ["report", "rig.yaml"],
    "headroom": ["headroom", "rig.yaml"],
    "compare": ["compare", "rig.yaml", "--together", "1"],
    "shopping": ["shopping", "rig.yaml", "--share", "20 %"],
    "plan": ["plan", "rig.yaml"],
}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a rig and settings, and the way there."""
    shutil.copy(EXAMPLES / f"{RIG}.yaml", tmp_path / "rig.yaml")
    for other in EXAMPLES.glob("*.yaml"):
        shutil.copy(other, tmp_path / other.name)
    (tmp_path / "rigmargin.yaml").write_text(SETTINGS, "utf-8")
    monkeypatch.chdir(tmp_path)
    plugins.load.cache_clear()  # it goes by names, and "ours" is another folder in each test
    monkeypatch.setenv("COLUMNS", "200")
    return tmp_path


class _Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags = set()

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)


@pytest.mark.parametrize("command", ANSWERS)
def test_every_answer_shows_what_is_accepted_and_what_is_short_of_its_reserve(command, folder, capsys):
    codes = set()
    for ending in ("html", "md", "json"):
        codes.add(main([*ANSWERS[command], "--to", f"out.{ending}"]))
        text = Path(f"out.{ending}").read_text("utf-8")
        assert "accepted until 2026-12-31 by " in text
        assert "A reserve of 50 % is asked for trailer-gross (line 2 of rigmargin.yaml): 1 is within by less: " in text
        blunt = "What is advised here goes to the limits themselves: no reserve is taken off it."
        assert (blunt in text) is (command in ("headroom", "shopping", "plan"))
        assert "<script>" not in (without_own_scripts(text) if ending == "html" else text) or ending == "json"
        assert "\u202e" not in text or ending == "json"  # in JSON it is data, for whoever shows it to escape
    tags = _Tags()
    tags.feed(without_own_scripts(Path("out.html").read_text("utf-8")))
    assert "script" not in tags.tags
    data = json.loads(Path("out.json").read_text("utf-8"))
    jsonschema.validate(data, schema.load(f"{command}.schema.json"))
    assert data["settings"] | {"remarks": 2} == {
        "remarks": 2, "less_than_reserve": 1, "accepted": 1, "undated": 0, "expired": 0, "unused": 0,
    }  # fmt: skip
    if command != "report":
        capsys.readouterr()
        codes.add(main(ANSWERS[command]))
        printed = capsys.readouterr().out
        assert "Settings: The sum of people, cargo" in printed
        assert "\u202e" not in printed
    # and without the settings nothing is said of them, and the exit code is the same
    codes.add(main([*ANSWERS[command], "--no-settings", "--to", "out.json"]))
    assert "settings" not in json.loads(Path("out.json").read_text("utf-8"))
    assert len(codes) == 1


def test_check_shows_them_and_gives_the_same_exit_code(folder, capsys):
    assert main(["check", "rig.yaml"]) == 1
    with_settings = capsys.readouterr().out
    assert main(["check", "rig.yaml", "--no-settings"]) == 1
    without = capsys.readouterr().out
    said = [line for line in with_settings.splitlines() if line not in without.splitlines()]
    assert [line.partition(":")[0] for line in said if "accepted" in line or "reserve" in line][-2:] == ["Settings", "Settings"]


def test_places_shows_where_they_come_from(folder, capsys):
    Path("rigmargin.yaml").write_text("settings: 1\nplaces: [us-vt]\n", "utf-8")
    text = Path("rig.yaml").read_text("utf-8")
    Path("rig.yaml").write_text("".join(line for line in text.splitlines(True) if not line.startswith("places:")), "utf-8")
    main(["places", "--rig", "rig.yaml", "--to", "out.json"])
    data = json.loads(Path("out.json").read_text("utf-8"))
    jsonschema.validate(data, schema.load("places.schema.json"))
    said = "The places us-vt come from the settings (line 2 of rigmargin.yaml): the rig's own file states none."
    assert data["rig"]["places"] == ["us-vt"]
    assert data["rig"]["settings"] == {"remarks": [said]}
    capsys.readouterr()
    main(["places", "--rig", "rig.yaml"])
    assert said in " ".join(capsys.readouterr().out.split())
    main(["places", "us-fl", "--rig", "rig.yaml"])
    assert said not in " ".join(capsys.readouterr().out.split())


EVERY = [*ANSWERS.values(), ["check", "rig.yaml"], ["places"], ["places", "--rig", "rig.yaml"], ["rules"], ["settings"]]


@pytest.mark.parametrize("arguments", EVERY, ids=" ".join)
@pytest.mark.parametrize("wrong", ["units: metrik", "reserve: {paylod: 5 %}"], ids=["schema", "id"])
def test_a_bad_settings_file_stops_every_command_with_its_problems(arguments, wrong, folder, capsys):
    Path("rigmargin.yaml").write_text(f"settings: 1\n{wrong}\n", "utf-8")
    to = ["--to", "out.json"] if arguments[0] == "report" else []
    if arguments[0] == "rules" and "paylod" in wrong:
        arguments = ["rules", "payload"]
    assert main([*arguments, *to]) == 4
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("rigmargin.yaml:2:")
    assert printed.err.endswith("rigmargin: 'rigmargin.yaml' was not used: 1 problem\n")
    assert not Path("out.json").exists()


def test_places_out_of_a_variable_are_told_with_its_name(folder, monkeypatch):
    monkeypatch.setenv("RIGMARGIN_PLACES", "us-vt")
    text = Path("birch-hollow-travel-trailer.yaml").read_text("utf-8")
    Path("rig.yaml").write_text("".join(line for line in text.splitlines(True) if not line.startswith("places:")), "utf-8")
    main(["report", "rig.yaml", "--to", "out.json"])
    data = json.loads(Path("out.json").read_text("utf-8"))
    jsonschema.validate(data, schema.load("report.schema.json"))
    (share,) = [f for f in data["findings"] if f["rule"] == "coupling-share"]
    assert {"path": "places", "line": 0, "file": "RIGMARGIN_PLACES", "source": "not stated"} in share["evidence"]
    main(["report", "rig.yaml", "--to", "out.md"])
    text = Path("out.md").read_text("utf-8").replace("&#95;", "_")
    assert "Places: us-vt (from the settings, RIGMARGIN_PLACES)" in text
    assert "(source not stated, RIGMARGIN_PLACES)" in text


def test_a_variable_that_cannot_be_meant_is_a_wrong_command_line(folder, monkeypatch, capsys):
    monkeypatch.setenv("RIGMARGIN_UNITS", "metrc")
    assert main(["check", "rig.yaml"]) == 2
    assert "write metric, if that is meant" in capsys.readouterr().err


def test_each_file_of_a_check_is_read_by_its_own_nearest_settings(folder, capsys):
    Path("members").mkdir()
    shutil.copy("rig.yaml", "members/rig.yaml")
    Path("members/rigmargin.yaml").write_text("settings: 1\nunits: metric\n", "utf-8")
    main(["check", "rig.yaml", "members/rig.yaml"])
    first, second = capsys.readouterr().out.split("Alder Creek fifth wheel")[1:]
    assert "10480 lb" in first and "accepted until" in first
    assert "4754 kg" in second and "accepted until" not in second
    main(["check", "members/rig.yaml", "--units", "us"])
    assert "10480 lb" in capsys.readouterr().out


PYTHON = """\
from pathlib import Path

Path("ran").touch()
"""


@pytest.mark.parametrize(
    ("arguments", "variable", "runs"),
    [
        ([], "", False),
        (["--rules", "ours"], "", True),
        (["--settings", "rigmargin.yaml"], "", True),
        ([], "rigmargin.yaml", True),
        (["--no-settings"], "", None),
        (["--no-settings"], "rigmargin.yaml", None),
    ],
    ids=["found", "folder named", "file named", "file named by a variable", "none", "none in spite of a variable"],
)
def test_python_of_a_settings_folder_runs_only_when_its_user_names_it(arguments, variable, runs, folder, monkeypatch, capsys):
    if variable:
        monkeypatch.setenv("RIGMARGIN_SETTINGS", variable)
    Path("ours").mkdir()
    ran = folder / "ran"
    Path("ours/own.py").write_text(PYTHON.replace('"ran"', repr(str(ran))), "utf-8")
    Path("rigmargin.yaml").write_text("settings: 1\nrules: ours\n", "utf-8")
    code = main(["check", "quarry-bend-utility.yaml", *arguments])
    printed = capsys.readouterr().out
    assert ran.exists() is bool(runs)
    assert ("was not run, because nobody here has named it" in printed) is (runs is False)
    assert code == (0 if runs is None else 5)  # Python without a rule in it is a failure too, once it has run


def test_regulations_of_a_settings_folder_are_read_as_those_of_a_named_one(folder, capsys):
    Path("ours").mkdir()
    law = (
        "regulations: 1\nplace: us-vt\nname: The club\nauthority: the board\nread_on: 2026-02-01\nstatus: statute\nrules:\n"
        "  short:\n    title: Short\n    topic: other\n    citation: Resolution 1\n"
        "    require: {compare: {this: {mass: combination, basis: actual}, at_most: 1 t}}\n    asks: no more than 1 t\n"
        "    cases:\n      x:\n        given: {}\n        verdict: not_checked\n"
    )
    Path("ours/us-vt.yaml").write_text(law, "utf-8")
    Path("rigmargin.yaml").write_text("settings: 1\nrules: ours\n", "utf-8")
    assert main(["check", "quarry-bend-utility.yaml"]) == 1
    found = capsys.readouterr().out
    assert "ours/us-vt/short" in found
    main(["check", "quarry-bend-utility.yaml", "--no-settings", "--rules", "ours"])
    assert capsys.readouterr().out == found


def test_settings_shows_each_value_and_where_it_came_from(folder, monkeypatch, capsys):
    Path("ours").mkdir()
    monkeypatch.setenv("RIGMARGIN_PLACES", "us us-co")
    Path("rigmargin.yaml").write_text("settings: 1\nunits: us\nevidence: {brochure: 8 %}\n", "utf-8")
    assert main(["settings", "--units", "both"]) == 0
    lines = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert lines[:4] == [
        "The settings file is rigmargin.yaml (the nearest).",
        "setting value from",
        "places us, us-co RIGMARGIN_PLACES",
        "units both --units",
    ]
    for line in ("rules no folder default", "reserve none default", "evidence.brochure 8 % rigmargin.yaml:3"):
        assert line in lines
    assert "evidence.owner_estimate 20 % default" in lines
    assert main(["settings", "--no-settings"]) == 0
    assert capsys.readouterr().out.startswith("No settings file counts here.")
    assert main(["settings", "--settings", "rigmargin.yaml", "--to", "out.json"]) == 0
    data = json.loads(Path("out.json").read_text("utf-8"))
    jsonschema.validate(data, schema.load("settled.schema.json"))
    assert (data["file"], data["named_by"]) == ("rigmargin.yaml", "--settings")
    assert {"name": "units", "value": "us", "from": "rigmargin.yaml:2"} in data["values"]
    for ending in ("html", "md"):
        assert main(["settings", "--to", f"out.{ending}"]) == 0
        assert "those of each rig" not in Path(f"out.{ending}").read_text("utf-8")
    assert main(["settings", "nowhere"]) == 2


def test_settings_shows_hostile_text_as_text(folder, capsys):
    main(["settings", "--to", "out.html"])
    tags = _Tags()
    tags.feed(without_own_scripts(Path("out.html").read_text("utf-8")))
    assert "script" not in tags.tags
    main(["settings", "--to", "out.md"])
    assert "<script>" not in Path("out.md").read_text("utf-8")
    capsys.readouterr()
    main(["settings"])
    assert "\u202e" not in capsys.readouterr().out


def test_the_schema_of_the_answer_describes_every_field():
    schemas.hold(schema.load("settled.schema.json"), wrong={"settings": 1, "values": []})


def test_a_rig_with_options_is_read_by_the_same_settings(folder):
    spreads = []
    for text in ("settings: 1\n", "settings: 1\nevidence: {owner_estimate: 100 %}\n"):
        Path("rigmargin.yaml").write_text(text, "utf-8")
        main(["compare", "cedar-pass-bigger-truck.yaml", "--together", "1", "--to", "out.json"])
        data = json.loads(Path("out.json").read_text("utf-8"))
        every = [check for scenario in data["scenarios"] for check in scenario["checks"]]
        spreads.append(sum(check.get("uncertainty") or 0.0 for check in every if check["rule"] == "payload"))
    assert 0 < spreads[0] < spreads[1]
