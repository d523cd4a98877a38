"""A day's tickets into a folder of rigs: what is shown, what is refused, what is written."""

import csv
import io
import os
import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigmargin import cli
from rigmargin.club import whole_folder
from rigmargin.spec import document as documents
from rigmargin.spec.document import parse
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
POUND = 0.45359237  # kg, by definition
RIG = """\
rig: 1 # a comment
name: NAME
places: [us]
tow_vehicle: {kind: pickup, load: {driver: {mass: 180 lb, person: yes}}}
coupling: {kind: KIND}
trailer: {axles: {front one: {gawr: 3500 lb}, rear one: {gawr: 3500 lb}}}
"""
HEAD = "rig,state,on,increment,front [lb],rear [lb],trailer_axles,all,aboard"


@pytest.fixture
def folder(tmp_path):
    top = tmp_path / "rigs"
    (top / "north").mkdir(parents=True)
    (top / ".hidden").mkdir()
    for file, name, kind in (
        ("elm.yaml", "Elm", "weight_carrying"),
        ("north/fir.yml", "Fir", "weight_distributing"),
        ("north/oak.yaml", "Twin", "weight_carrying"),
        ("twin.yaml", "Twin", "weight_carrying"),
        (".hidden/no.yaml", "Hidden", "weight_carrying"),
    ):
        (top / file).write_text(RIG.replace("NAME", name).replace("KIND", kind), "utf-8")
    (top / "rules.yaml").write_text("regulations: 1\n", "utf-8")
    return top


@pytest.fixture
def run(folder, capsys):
    def weigh_in(*lines, write=False, head=HEAD, raw=None):
        table = folder.parent / "day.csv"
        table.write_text(raw if raw is not None else "\n".join([head, *lines]) + "\n", "utf-8")
        code = cli.main(["weigh-in", str(table), str(folder), *(["--write"] if write else [])])
        printed = capsys.readouterr()
        return code, printed.out, printed.err.replace(f"{table}", "day.csv").replace(f"{folder}{os.sep}", "")

    return weigh_in


def everything(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_without_write_the_change_is_shown_and_nothing_is_touched(folder, run):
    before = everything(folder)
    code, out, err = run(
        "elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,driver", "Fir,coupled,2026-07-04,20 lb,3000,3600,5000 lb,,"
    )
    assert (code, err) == (0, "")
    assert everything(folder) == before
    assert "--- elm.yaml\n+++ elm.yaml\n" in out
    assert (
        "+weighings:\n+  - {state: alone, on: 2026-07-04, increment: 20 lb, front: 3180 lb, rear: 2760 lb, aboard: [driver]}\n"
        in out
    )
    assert "elm.yaml: ? not checked, as before" in out
    assert out.endswith("2 tickets in 2 files to write; add --write to do so\n")
    assert [line for line in out.splitlines() if line.startswith("-") and not line.startswith("---")] == []


def test_with_write_the_tickets_are_in_the_files_and_a_second_time_they_are_passed_over(folder, run):
    lines = ("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", "elm.yaml,coupled,2026-07-04,20 lb,3000,3600,5000 lb,,")
    code, out, _ = run(*lines, write=True)
    assert (code, out.splitlines()[-1]) == (0, "2 tickets in 1 file written")
    rig = load(folder / "elm.yaml")
    assert [(w.state, w.on) for w in rig.weighings] == [("alone", "2026-07-04"), ("coupled", "2026-07-04")]
    assert rig.weighings[0].readings["front"].number == pytest.approx(3180 * POUND)
    assert (folder / "elm.yaml").read_text("utf-8").startswith(RIG.replace("NAME", "Elm").replace("KIND", "weight_carrying"))
    after = everything(folder)
    code, out, err = run(*lines, write=True)
    assert (code, out) == (0, "0 tickets in 0 files written\n")
    assert err.splitlines() == [
        f"rigmargin: day.csv:{line}: 'elm.yaml' has this ticket already: passed over." for line in (2, 3)
    ]
    assert everything(folder) == after


def test_the_same_ticket_in_other_units_words_and_with_other_remarks_is_the_same(folder, run):
    run("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", write=True)
    same = "elm.yaml,alone,2026-07-04,0.01 t,1000 kg,2760,,,all,yes,the mill,photo 3"
    code, out, _ = run(same.replace("0.01 t,1000 kg", "20 lb,3180 lb"), head=f"{HEAD},hitch_hardware,at,ref")
    assert (code, out) == (0, "0 tickets in 0 files to write; add --write to do so\n")
    code, out, err = run(same, head=f"{HEAD},hitch_hardware,at,ref")
    assert code == 4, "kilograms beside pounds on one ticket"
    code, out, err = run("elm.yaml,alone,2026-07-04,20 lb,3200,2760,,,")
    assert "1 ticket in 1 file" in out
    assert "has a ticket 'alone' of the same day with other figures: both are kept, and the later entry counts." in err


def test_every_mistake_is_told_at_once_with_line_column_and_cure_and_nothing_is_written(folder, run):
    before = everything(folder)
    code, out, err = run(
        "elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,",
        "Twin,alone,2026-07-04,20 lb,3180,2760,,,",
        "elmm.yaml,alone,2026-07-04,20 lb,3180,2760,,,",
        ",alone,2026-07-04,20 lb,3180,2760,,,",
        "elm.yaml,alon,2026-07-04,20 lb,3180,2760,,,",
        "elm.yaml,alone,4.7.2026,,31800,27600 lbs,,,drivr",
        "elm.yaml,alone,2026-07-05,20 lb,3180,2760,5000 lb,,",
        "elm.yaml,coupled_distributing,2026-07-04,20 lb,,,5000,,",
        "elm.yaml,alone,2026-07-04,20 lb,3180 lb,2760,,,all",
        "../../secret.yaml,alone,2026-07-04,20 lb,3180,2760,,,",
        ".hidden/no.yaml,alone,2026-07-04,20 lb,3180,2760,,,",
        write=True,
    )
    assert (code, out) == (4, "")
    assert everything(folder) == before
    places = [line.split(": found ")[0] for line in err.splitlines()[:-1]]
    assert places == [
        "day.csv:3:1: rig",
        "day.csv:4:1: rig",
        "day.csv:5:1: rig",
        "day.csv:6:2: state",
        "day.csv:7:3: on",
        "day.csv:7:4: increment",
        "day.csv:7:5: front",
        "day.csv:7:6: rear",
        "day.csv:7:9: aboard",
        "day.csv:8:7: trailer_axles",
        "day.csv:9:2: state",
        "day.csv:9:7: trailer_axles",
        "day.csv:10:1: rig",
        "day.csv:11:1: rig",
        "day.csv:12:1: rig",
    ]
    for said in (
        "'Twin', the name of 2 rigs ('north/oak.yaml', 'twin.yaml')",
        "write 'elm.yaml', if that is meant",
        "write alone, if that is meant",
        "write 27600 lb",
        "the same ticket as on line 2",
        "bars only on a weight_distributing coupling",
        "add the unit the label uses: 5000 kg or 5000 lb",
        "'day.csv' was not entered, nothing was changed: 15 problems",
    ):
        assert said in err


def test_problems_with_the_head_and_with_the_lines_are_told_together(run):
    code, _, err = run("elm.yaml,alone,x,20 lb,3180,2760,,", head="rig,state,on,increment,front [lb],rear [lb],wrong,all")
    assert code == 4
    assert [line.split(": found ")[0] for line in err.splitlines()[:-1]] == ["day.csv:1:7: wrong", "day.csv:2:3: on"]


def test_an_axle_that_the_rig_has_not_is_refused_and_its_own_are_taken(run):
    head = "rig,state,on,increment,trailer_axles.front one,trailer_axles.rear one,trailer_axles.third"
    code, _, err = run("elm.yaml,coupled,2026-07-04,20 lb,2500 lb,2500 lb,9 lb", head=head)
    assert code == 4
    assert "day.csv:2:7: trailer_axles.third: found the axle 'third'" in err
    code, out, _ = run("elm.yaml,coupled,2026-07-04,20 lb,2500 lb,2520 lb,", head=head)
    assert code == 0
    assert "trailer_axles: {front one: 2500 lb, rear one: 2520 lb}" in out


def test_a_scale_without_a_step_is_told_what_a_step_can_be(run):
    """0.1 kg, the least, is 0.1 / 0.45359237 = 0.22 lb: to say that 0 to 220 lb was expected would let 0 stand."""
    code, _, err = run("elm.yaml,alone,2026-07-04,0 lb,3180,2760,,,")
    assert code == 4
    assert "day.csv:2:4: increment: found '0 lb'; expected 0.22 to 220 lb (Smallest step of the scale); check the digits" in err


def test_a_line_without_a_reading_is_passed_over_and_said_so(run):
    code, out, err = run("elm.yaml,alone,2026-07-04,20 lb,,,,,", "elm.yaml,coupled,,,,,,,")
    assert (code, out) == (0, "0 tickets in 0 files to write; add --write to do so\n")
    assert err.count("no reading of 'elm.yaml': passed over") == 2


def test_a_ticket_without_its_day_is_refused_because_any_dated_one_goes_before_it(run):
    code, _, err = run("elm.yaml,alone,20 lb,3180", head="rig,state,increment,front [lb]")
    assert code == 4
    assert "day.csv:1:1: on: found no column 'on'" in err
    code, _, err = run("elm.yaml,alone,,20 lb,3180,,,,")
    assert code == 4
    assert "day.csv:2:3: on: found nothing" in err


def test_a_rig_file_that_is_broken_is_told_of_where_it_is_broken(folder, run):
    (folder / "elm.yaml").write_text("rig: 1\nname: [\n", "utf-8")
    code, _, err = run("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", "Fir,alone,2026-07-04,20 lb,x,2760,,,")
    assert code == 4
    assert any(line.startswith("elm.yaml:") for line in err.splitlines())
    assert "day.csv:3:5: front" in err


def test_a_file_that_is_replaced_while_it_is_read_is_not_overwritten(folder, run, monkeypatch):
    decode = documents.decode
    lines = ("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,",)
    run(*lines, write=True)
    entered = (folder / "elm.yaml").read_bytes()
    (folder / "elm.yaml").write_text(RIG.replace("NAME", "Elm").replace("KIND", "weight_carrying"), "utf-8")

    def and_then_replaced(raw, name):
        if name.endswith("elm.yaml"):
            (folder / "elm.yaml").write_bytes(entered)
        return decode(raw, name)

    monkeypatch.setattr(documents, "decode", and_then_replaced)
    code, _, err = run(*lines, write=True)
    assert code == 4
    assert "'elm.yaml' has changed since it was read" in err
    assert (folder / "elm.yaml").read_bytes() == entered


def test_a_ticket_that_will_not_count_or_has_a_far_off_year_is_told(folder, run):
    run("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", write=True)
    code, out, err = run(
        "elm.yaml,alone,2025-07-04,20 lb,3200,2700,,,",
        "twin.yaml,alone,2026-07-04,20 lb,3200,2700,,,",
        "twin.yaml,alone,2026-07-04,20 lb,3180,2760,,,",
        "Fir,alone,2062-07-04,20 lb,3200,2700,,,",
        "north/oak.yaml,alone,2024-07-04,20 lb,3200,2700,,,",
    )
    assert code == 0
    told = [
        "day.csv:2: 'elm.yaml': it will not count: of tickets 'alone', one of 2026-07-04 goes before it. Check the day.",
        "day.csv:3: 'twin.yaml': it will not count: of tickets 'alone', a later entry of the same day goes before it. "
        "Check the day.",
        "day.csv:5: 'north/fir.yml': its day, 2062-07-04, is more than 5 years from every other day in the table and the file. "
        "Check the year.",
    ]
    assert sorted(err.splitlines()) == [f"rigmargin: {sentence}" for sentence in told]
    assert sorted(line for line in out.splitlines() if line.startswith("? ")) == [
        f"? {folder.parent}{os.sep}{sentence}" for sentence in told
    ]


def test_a_name_that_a_broken_file_may_have_too_is_not_taken_for_the_other(folder, run):
    """'Twin' is the name of two rigs also while one of them cannot be read."""
    (folder / "north/oak.yaml").write_text("rig: 1\nname: Twin # north\ntrailer: [\n", "utf-8")
    code, _, err = run("Twin,alone,2026-07-04,20 lb,3180,2760,,,", write=True)
    assert code == 4
    assert "'Twin', the name of 2 rigs ('north/oak.yaml', 'twin.yaml')" in err
    code, _, err = run("Fir,alone,2026-07-04,20 lb,3180,2760,,,")
    assert code == 0
    assert err == (
        "rigmargin: day.csv:2: 'Fir' is taken for 'north/fir.yml', but a rig of that name may also be in 'north/oak.yaml', "
        "which cannot be read. Write the path instead.\n"
    )
    code, _, err = run("twin.yaml,alone,2026-07-04,20 lb,3180,2760,,,")
    assert (code, err) == (0, ""), "a path means one file"


def test_a_line_without_a_rig_is_not_taken_for_that_of_a_file_without_a_name(folder, run):
    (folder / "elm.yaml").write_text("rig: 1\n", "utf-8")
    code, _, err = run(",alone,2026-07-04,20 lb,3180,2760,,,")
    assert code == 4
    assert err.startswith("day.csv:2:1: rig: found nothing; expected the path of a rig file")


def test_a_ticket_that_contradicts_the_others_is_shown_to_do_so_and_is_kept(folder, run):
    shutil.copy(EXAMPLES[0], folder)
    code, out, _ = run("alder-creek-fifth-wheel.yaml,trailer_alone,2026-05-02,20 lb,,,,15000 lb,", write=True)
    assert code == 0
    told = [line for line in out.splitlines() if line.startswith("≠ ")]
    assert any("The trailer as weighed one way is 15000 lb" in line for line in told) or any(
        "15000 lb" in line for line in told
    )
    assert "1 ticket in 1 file written" in out


TANK = """\
rig: 1
name: Yew
places: [us]
tow_vehicle:
  kind: pickup
  wheelbase: 145 in
  coupling_behind_rear_axle: 56 in
  axles: {rear: {gawr: 4100 lb}}
  load: {driver: {mass: 180 lb, person: yes, at: 60 in}}
coupling: {kind: weight_carrying}
trailer:
  coupling_to_axle_centre: 200 in
  axles: {tandem: {number: 2}}
  tanks:
    fresh water: {holds: water, volume: 60 gal, filled: 100 %, at: 290 in}
    grey: {holds: grey_water, volume: 60 gal, filled: empty, at: 290 in}
"""


def test_a_full_tank_that_aboard_does_not_name_is_told_because_its_contents_are_added_to_the_readings(folder, run):
    """Some 500 lb of water 90 in behind the axles lift the coupling by 500 * 90 / 200 = 225 lb, and 225 * (145 + 56) / 145 =
    312 lb come off the rear axle: of 4140 lb read, over 4100 lb, 3828 lb would be left."""
    (folder / "yew.yaml").write_text(TANK, "utf-8")
    code, out, err = run("yew.yaml,coupled,2026-07-04,20 lb,2900,4140,5000 lb,,driver")
    told = (
        "day.csv:2: 'yew.yaml': 'aboard' leaves out 'fresh water' (a tank, as empty): taken as off the scale, and added to "
        "the readings at its place. Name what was on it."
    )
    assert (code, err) == (0, f"rigmargin: {told}\n")
    assert "? " + told in out.replace(f"{folder.parent}{os.sep}", "")
    for whole in ("all", "", "driver | fresh water"):
        code, out, err = run(f"yew.yaml,coupled,2026-07-04,20 lb,2900,4140,5000 lb,,{whole}")
        assert (code, err) == (0, "")
        assert "yew.yaml: ? not checked, then ▲ over" in out
    code, _, err = run("yew.yaml,alone,2026-07-04,20 lb,2900,3140,,,none")
    assert "'aboard' leaves out 'driver': taken as off" in err, "what the trailer carries is not on the scale without it"


def test_text_of_a_table_or_file_cannot_steer_the_terminal(folder, run):
    (folder / "elm.yaml").write_bytes((folder / "elm.yaml").read_bytes() + "# \u202e back\r\n".encode())
    code, out, _ = run(
        'elm.yaml,alone,2026-07-04,20 lb,3180,2760,"a \u202e ""b"" {c}: #d"',
        head="rig,state,on,increment,front [lb],rear [lb],note",
    )
    assert code == 0
    assert "\u202e" not in out
    assert "\r" not in out
    code, _, err = run("elm.yaml,alone,2026-07-04,20 lb,\x1b[31m,2760,,,")
    assert code == 4
    assert "\x1b" not in err


def test_a_byte_order_mark_and_line_ends_stay(folder, run):
    old = b"\xef\xbb\xbf" + (folder / "elm.yaml").read_bytes().replace(b"\n", b"\r\n").rstrip()
    (folder / "elm.yaml").write_bytes(old)
    code, out, _ = run("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", write=True)
    assert code == 0
    new = (folder / "elm.yaml").read_bytes()
    assert new == old + b"\r\nweighings:\r\n  - {state: alone, on: 2026-07-04, increment: 20 lb, front: 3180 lb, rear: 2760 lb}"
    assert sum(line.startswith("+") for line in out.splitlines()) == 3, "its name and the two lines that were added"


def test_a_run_that_was_stopped_is_said_at_every_level_and_put_back_with_write(folder, run, monkeypatch, capsys):
    before = everything(folder)
    lines = ("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", "Fir,alone,2026-07-04,20 lb,3180,2760,,,")
    monkeypatch.setattr(whole_folder, "_undo", lambda folder: ())  # as if the machine had stopped
    monkeypatch.setattr(
        whole_folder, "_sync", lambda folder: (folder / "north" / "gone").stat() if folder.name == "north" else 0
    )
    assert run(*lines, write=True)[0] == 4
    monkeypatch.undo()
    assert everything(folder)["elm.yaml"] != before["elm.yaml"]
    code, out, err = run(*lines)
    assert (code, out) == (4, "")
    assert f"rigmargin: an earlier weigh-in was stopped while it wrote into '{folder}'" in err
    half = everything(folder)
    day = folder.parent / "day.csv"
    for place in (folder / "north", folder.parent):
        assert cli.main(["weigh-in", str(day), str(place), "--write"]) == 4
        assert f"run rigmargin weigh-in TABLE {folder} --write, which puts them back first" in capsys.readouterr().err
        assert everything(folder) == half
    cli.main(["weigh-in", "--template", str(folder / "north")])
    assert "an earlier weigh-in was stopped" in capsys.readouterr().err
    cli.main(["club", str(folder), "--out", str(folder.parent / "out"), "--workers", "1"])
    assert f"an earlier weigh-in was stopped while it wrote into '{folder}'" in capsys.readouterr().err
    code, out, err = run(lines[1], write=True)
    assert code == 0
    assert "'elm.yaml' is as it was before a run that was stopped; enter the tickets of that day again" in err
    after = everything(folder)
    assert after.keys() == before.keys()
    assert after["elm.yaml"] == before["elm.yaml"]
    assert b"3180 lb" in after["north/fir.yml"]


def test_a_failure_to_write_is_said_and_changes_nothing(folder, run, monkeypatch):
    before = everything(folder)

    def full(path, content, like=None):
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr(whole_folder, "_write", full)
    code, _, err = run("elm.yaml,alone,2026-07-04,20 lb,3180,2760,,,", write=True)
    assert code == 4
    assert "nothing was written: " in err
    assert "No space left on device" in err
    monkeypatch.undo()
    assert everything(folder) == before


@pytest.mark.parametrize(
    "arguments", [[], ["day.csv"], ["day.csv", "FOLDER", "--template", "FOLDER"], ["--template", "FOLDER", "--write"]]
)
def test_a_wrong_command_line_is_said(folder, capsys, arguments):
    assert cli.main(["weigh-in", *(str(folder) if word == "FOLDER" else word for word in arguments)]) == 2
    assert "name a table of tickets and a folder, or --template and a folder" in capsys.readouterr().err


def test_a_folder_that_is_none_is_said(tmp_path, capsys):
    assert cli.main(["weigh-in", "--template", str(tmp_path / "none")]) == 4
    assert "is no folder" in capsys.readouterr().err


def test_template_has_a_line_for_each_pass_a_rig_lacks_and_only_columns_some_line_can_have(folder, capsys):
    (folder / "=1+1.yaml").write_text(RIG.replace("NAME", "Formula").replace("KIND", "fifth_wheel"), "utf-8")
    assert cli.main(["weigh-in", "--template", str(folder)]) == 0
    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    assert rows[0][:3] == ["rig", "state", "on"]
    assert {"front [lb]", "trailer_axles [lb]", "trailer_axles.front one [lb]", "aboard", "note"} <= set(rows[0])
    assert not any("_left" in name for name in rows[0])
    lines = [(row[0], row[1]) for row in rows[1:]]
    assert ("'=1+1.yaml", "coupled") in lines
    assert {("elm.yaml", "coupled"), ("elm.yaml", "alone"), ("north/fir.yml", "coupled_distributing")} <= set(lines)
    assert not any(name == ".hidden/no.yaml" for name, _ in lines)
    assert all(set(row[2:]) == {""} for row in rows[1:])


def test_a_filled_in_template_goes_in_and_the_passes_are_no_longer_lacking(folder, run, capsys):
    cli.main(["weigh-in", "--template", str(folder)])
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    for row in rows:
        front, rear = {"alone": (3180, 2760), "coupled": (2880, 3780)}.get(row["state"], (2980, 3680))
        row |= {"on": "2026-07-04", "increment [lb]": "20", "front [lb]": str(front), "rear [lb]": str(rear)}
        if row["state"] != "alone":
            row |= {"trailer_axles.front one [lb]": "2500", "trailer_axles.rear one [lb]": "2520"}
    text = io.StringIO()
    writer = csv.DictWriter(text, rows[0].keys(), delimiter=";", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    code, out, err = run(raw=text.getvalue(), write=True)
    assert (code, err) == (0, "")
    assert f"{len(rows)} tickets in 4 files written" in out
    cli.main(["weigh-in", "--template", str(folder)])
    left = {(row["rig"], row["state"]) for row in csv.DictReader(io.StringIO(capsys.readouterr().out))}
    assert not left & {(row["rig"], row["state"]) for row in rows if row["state"] != "coupled"}


def test_template_says_whose_date_would_refuse_the_tickets(folder, capsys):
    (folder / "elm.yaml").write_text(
        RIG.replace("NAME", "Elm").replace("KIND", "weight_carrying") + "date: 2026-06-01\n", "utf-8"
    )
    assert cli.main(["weigh-in", "--template", str(folder)]) == 0
    printed = capsys.readouterr()
    assert printed.err == (
        "rigmargin: 'elm.yaml': The file's date is 2026-06-01: set it to the day of the weighing, or a ticket from after it is "
        "refused.\n"
    )
    assert "elm.yaml,alone" in printed.out


def test_template_says_which_files_cannot_be_read_and_lists_the_others(folder, capsys):
    (folder / "elm.yaml").write_text("rig: 1\nname: [\n", "utf-8")
    assert cli.main(["weigh-in", "--template", str(folder)]) == 4
    printed = capsys.readouterr()
    assert "elm.yaml:" in printed.err
    assert "twin.yaml,coupled" in printed.out


@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_what_is_written_is_what_the_line_says(tmp_path_factory, data):
    """Examples with a random alone ticket: the file's data is the old with the new entry, and every old byte is there."""
    path = data.draw(st.sampled_from(EXAMPLES))
    folder = tmp_path_factory.mktemp("rigs")
    for each in EXAMPLES:  # an option may name another file
        shutil.copy(each, folder)
    old = (folder / path.name).read_bytes()
    on = parse(old.decode(), "x").data.get("date", "2026-01-01")
    front, rear = (f"{10 * data.draw(st.integers(150, 300))} lb" for _ in range(2))
    table = folder / "day.csv"
    table.write_text(f"rig,state,on,increment,front,rear\n{path.name},alone,{on},20 lb,{front},{rear}\n", "utf-8")
    assert cli.main(["weigh-in", str(table), str(folder), "--write"]) == 0
    new = (folder / path.name).read_bytes()
    before, after = (parse(raw.decode(), "x").data for raw in (old, new))
    ticket = {"state": "alone", "on": on, "increment": "20 lb", "front": front, "rear": rear}
    assert after == {**before, "weighings": [*before.get("weighings", []), ticket]}
    added = len(new) - len(old)
    assert any(new[:i] + new[i + added :] == old for i in range(len(old) + 1))
