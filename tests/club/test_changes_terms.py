"""By which settings and rules two sides are compared: those of each rig's own folder, and a word where these differ.

The rig weighs 2880 + 3380 lb on readings in steps of 20 lb, and then takes tools on, against 7050 lb. 400 lb of tools leave
390 lb, 600 lb leave 190 lb and 2000 lb are 1210 lb too many. A guess is known within 20 % by convention, of 600 lb 120 lb;
within 50 % by the settings used here, 300 lb.
"""

import json

import jsonschema
import pytest

from rigmargin import cli
from rigmargin.spec import schema

ROUGH = "settings: 1\nevidence: {owner_estimate: 50 %}\n"


def rig(tools="400 lb"):
    return (
        "rig: 1\nname: a test\ndate: 2026-06-01\n"
        f"tow_vehicle: {{gvwr: 7050 lb, load: {{tools: {{mass: {tools}, source: owner_estimate}}}}}}\n"
        "coupling: {kind: weight_carrying}\ntrailer: {}\n"
        "weighings: [{state: coupled, front: 2880 lb, rear: 3380 lb, increment: 20 lb, aboard: []}]\n"
    )


def _changes(capsys, *arguments):
    """Exit code and what is printed, on one line."""
    code = cli.main(["changes", *arguments])
    return code, " ".join(capsys.readouterr().out.split())


def test_each_rig_is_judged_by_the_settings_of_its_own_folder(club, capsys):
    """As ``check`` does it, wherever one stands."""
    club.write("rough/rigmargin.yaml", ROUGH)
    for folder in ("rough", "fine"):
        club.write(f"{folder}/a.yaml", rig())
    first = club.commit()
    for folder in ("rough", "fine"):
        club.write(f"{folder}/a.yaml", rig("600 lb"))
    second = club.commit()
    remark = "An owner's estimate is taken to be known within 50 % (line 2 of rigmargin.yaml), and not 20 % as by convention."
    for new in ((), (second,)):
        code, said = _changes(capsys, first, *new)
        assert code == 3
        assert "2 rig files differ; 1 check is newly open, 1 margin got smaller." in said
        assert f"Settings: rough/a.yaml: {remark}" in said
    assert _changes(capsys, first, "--", "fine")[0] == 0
    assert _changes(capsys, first, "--no-settings")[0] == 0
    for ending in (".md", ".html", ".json"):
        cli.main(["changes", first, "--to", f"out{ending}"])
        assert "is taken to be known within 50 %" in (club.folder / f"out{ending}").read_text("utf-8")
    data = json.loads((club.folder / "out.json").read_text("utf-8"))
    jsonschema.validate(data, schema.load("changes.schema.json"), cls=jsonschema.Draft202012Validator)
    assert len(data["settings"]["remarks"]) == 1


def test_an_exception_for_a_file_fits_it_on_both_sides(club, capsys):
    entry = "{rig: rigs/a.yaml, rule: tow-vehicle-gross, reason: a dealer's visit, by: the officer, until: 2026-12-31}"
    club.write("rigmargin.yaml", f"settings: 1\nexceptions:\n  - {entry}\n")
    club.write("rigs/a.yaml", rig())
    first = club.commit()
    club.write("rigs/a.yaml", rig("2000 lb"))
    code, said = _changes(capsys, first, club.commit())
    assert code == 1
    assert "(over): accepted until 2026-12-31 by the officer (line 3 of rigmargin.yaml)" in said


@pytest.mark.parametrize(
    ("file", "text", "code"),
    [
        ("rigs/rigmargin.yaml", "settings: 1\nunits: us\nrules: ../ours\n", 3),
        ("rigs/deeper/rigmargin.yaml", "settings: 1\nunits: us\n", 3),
        ("ours/aq.yaml", "regulations: 1\n", 3),
        ("ours/tables/t.csv", "up_to\n", 3),
        ("elsewhere/aq.yaml", "regulations: 1\n", 0),
        ("readme.md", "read me", 0),
    ],
)
def test_settings_and_rules_that_differ_are_told(club, capsys, file, text, code):
    club.write("ours/readme.md", "ours")
    club.write("rigs/rigmargin.yaml", "settings: 1\nrules: ../ours\n")
    club.write("rigs/a.yaml", rig())
    first = club.commit()
    club.write(file, text)
    second = club.commit()
    for new in ((), (second,)):
        found, said = _changes(capsys, first, *new)
        assert found == code
        told = "no verdict got worse and no margin moved; settings or rules differ, and what they change is not shown."
        assert (told in said) == (code == 3)
        assert (f"Settings or rules differ: {file}. Both sides are judged by those in force now" in said) == (code == 3)
    assert cli.main(["changes", first, second, "--to", "out.json"]) == code
    assert json.loads((club.folder / "out.json").read_text("utf-8"))["terms_differ"] == ([file] if code else [])
    for form in ("out.md", "out.html"):
        cli.main(["changes", first, second, "--to", form])
        assert ("Settings or rules differ" in (club.folder / form).read_text("utf-8")) == (code == 3)


def test_a_rig_moved_to_where_other_settings_count_is_told(club, capsys):
    club.write("rough/rigmargin.yaml", ROUGH)
    for name in ("rough/a.yaml", "rough/deeper/b.yaml"):
        club.write(name, rig("600 lb"))
    first = club.commit()
    club.git("mv", "rough/deeper/b.yaml", "rough/b.yaml")
    assert _changes(capsys, first)[0] == 0, "the same settings count there"
    (club.folder / "fine").mkdir()
    club.git("mv", "rough/a.yaml", "fine/a.yaml")
    second = club.commit()
    for new in ((), (second,)):
        code, said = _changes(capsys, first, *new)
        assert code == 3
        assert "settings or rules differ, and what they change is not shown." in said
        assert "? Moved to where other settings count: fine/a.yaml. Both sides are judged by those in force now" in said
    assert _changes(capsys, first, "--settings", "rough/rigmargin.yaml")[0] == 0, "the same for all"


def test_settings_that_count_for_no_rig_asked_for_are_not_told(club, capsys):
    for folder in ("north", "south"):
        club.write(f"{folder}/a.yaml", rig())
    first = club.commit()
    club.write("north/rigmargin.yaml", "settings: 1\nunits: us\n")
    assert _changes(capsys, first, "--", "south")[0] == 0
    assert _changes(capsys, first, "--", "north")[0] == 3
    assert _changes(capsys, first, "--", "north/a.yaml")[0] == 3
    club.write("rigmargin.yaml", "settings: 1\nunits: us\n")
    assert _changes(capsys, first, "--", "south")[0] == 3


def test_a_settings_file_that_was_named_and_differs_is_told(club, capsys):
    club.write("ours.yaml", "settings: 1\nunits: us\n")
    first = club.commit()
    club.write("ours.yaml", "settings: 1\nunits: both\n")
    assert _changes(capsys, first)[0] == 0
    assert _changes(capsys, first, "--settings", "ours.yaml")[0] == 3


def test_settings_of_a_rigs_folder_that_are_wrong_stop_the_command(club, capsys):
    club.write("rigs/a.yaml", rig())
    first = club.commit()
    club.write("rigs/a.yaml", rig("500 lb"))
    club.write("rigs/rigmargin.yaml", "settings: 1\nunit: us\n")
    assert cli.main(["changes", first]) == 4
    assert "rigs/rigmargin.yaml:2:1: unit: found the unknown field 'unit'" in capsys.readouterr().err
