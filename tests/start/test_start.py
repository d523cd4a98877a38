"""`rigmargin start` as a person meets it: scripted talks, the file that comes of them, and what is never lost."""

import os
import pty
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rigmargin import cli
from rigmargin.report import write
from rigmargin.spec import document, rig
from rigmargin.spec.settings import NONE
from rigmargin.start import file_text, questions
from rigmargin.start.answers import Answers
from rigmargin.start.keeping import Keeper, NotKept
from rigmargin.start.session import Left, Session, State

BEGIN = "name: Ash Hollow\ncoupling.kind: weight_carrying\n"
FIFTH_WHEEL = """\
places: us, us-co
@masses: lb
name: Ash Hollow
tow_vehicle.kind: pickup
coupling.kind: fifth wheel
trailer.kind: 3
trailer.brakes.actuation: electric
@vehicle label: yes
tow_vehicle.max_mass: 10000
tow_vehicle.axles.rear.max_load: 6600
tow_vehicle.payload: 2710
weighings.alone.increment: 20
weighings.alone.front: 4740
weighings.alone.rear: 3260
weighings.coupled.increment: 20
weighings.coupled.front: 4760
weighings.coupled.rear: 5720
weighings.coupled.trailer_axles: 10100
"""
CARAVAN = """\
places: gb
@masses: kg
name: Birch Lane
tow_vehicle.kind: car
coupling.kind: european_ball
trailer.kind: caravan
trailer.brakes.actuation: overrun
tow_vehicle.max_mass: 2040
tow_vehicle.max_combination_mass: 3540
tow_vehicle.max_trailer_mass.braked: 1500
tow_vehicle.max_coupling_load: 75
trailer.max_mass: 1500
@coupling load: yes
coupling_load: 72
"""


@pytest.fixture
def talk(tmp_path, capsys):
    def talk(answers, *options, name="rig.yaml"):
        script = tmp_path / "answers.txt"
        script.write_text(answers, "utf-8")
        code = cli.main(["start", str(tmp_path / name), "--answers", str(script), *options])
        printed = capsys.readouterr()
        target = tmp_path / name
        return code, printed.out, printed.err, target.read_text("utf-8") if target.exists() else ""

    return talk


def test_a_fifth_wheel_in_the_united_states(talk, tmp_path):
    code, out, err, text = talk(FIFTH_WHEEL)
    # 4760 lb + 5720 lb = 10480 lb on the tow vehicle's axles, 480 lb more than 10000 lb
    assert (code, err) == (1, "")
    assert "So far: over." in out
    assert "10480 lb ± 17 lb, passes its GVWR, 10000 lb, by 480 lb." in out
    assert "gross vehicle weight rating (GVWR), in lb." in out
    assert "maximum pin weight" in out
    assert "tire" in out and "tyre" not in out
    assert "gvwr: {value: 10000 lb, source: certification_label}" in text
    assert "  payload: 2710 lb" in text  # nobody said that it was read off the placard
    loaded = rig.load(tmp_path / "rig.yaml")
    assert loaded.words["tow_vehicle.max_mass"] == "gvwr"
    assert [w.state for w in loaded.weighings] == ["alone", "coupled"]


def test_a_caravan_in_britain(talk, tmp_path):
    code, out, err, text = talk(CARAVAN)
    assert (code, err) == (3, "")
    assert "maximum authorised mass (MAM), in kg." in out
    assert "maximum technically permissible laden mass (MTPLM)" in out
    assert "The tyre and loading placard" not in out  # a placard of North America
    assert "Tow car's towing limit: braked, in kg." in out
    for line in ("mam: 2040 kg", "train_mass: 3540 kg", "max_noseweight: 75 kg", "mtplm: 1500 kg"):
        assert f"  {line}" in text
    assert "noseweight: {value: 72 kg, source: measured}" in text
    assert "● The noseweight, 72 kg ± " in out
    assert rig.load(tmp_path / "rig.yaml").get("tow_vehicle.max_trailer_mass.braked").number == 1500


def test_don_t_know_everywhere_still_gives_a_file_that_says_where_to_look(talk, tmp_path):
    code, out, _, text = talk(BEGIN)
    assert code == 3
    assert "No load can be held against a limit yet." in out
    assert rig.load(tmp_path / "rig.yaml").name == "Ash Hollow"
    comments = [line.strip() for line in text.splitlines() if line.lstrip().startswith("#")]
    assert any(c.startswith("# max_mass:  # Maximum mass. Printed on the certification label") for c in comments)
    assert any("Moulded on the sidewall after MAX LOAD SINGLE." in c for c in comments)
    assert "#   - state: alone" in text


def test_a_comment_becomes_a_field_when_its_mark_is_deleted(talk, tmp_path):
    """What stands in a comment is a line of a rig file, in its place, and lacks only its figure."""
    _, _, _, text = talk(BEGIN + "places: us\n")
    lines, changed = text.splitlines(), []
    at = next(i for i, line in enumerate(lines) if line.startswith("  # axles:"))
    for number, line in enumerate(lines):
        bare = line.replace("# ", "", 1) if at <= number < at + 3 else line  # axles, front, gawr
        changed.append(bare.replace("gawr:", "gawr: 5200 lb") if number == at + 2 else bare)
    changed = [line.replace("tow_vehicle: {}", "tow_vehicle:") for line in changed]
    target = tmp_path / "edited.yaml"
    target.write_text("\n".join(changed), "utf-8")
    assert rig.load(target).get("tow_vehicle.axles.front.max_load").unit == "lb"


def test_a_wrong_figure_is_told_with_its_cure_and_asked_again(talk):
    _, out, _, text = talk(
        BEGIN
        + "places: us\n@masses: lb\ntow_vehicle.max_mass: 9,900\ntow_vehicle.max_mass: 70500 lbs\n"
        + "tow_vehicle.max_mass: 7 lb\ntow_vehicle.max_mass: 9900\n"
    )
    assert "found '9,900 lb'" in out and "write 9900 lb if the comma marks thousands" in out
    assert "write 70500 lb" in out
    assert "(Maximum mass); check the digits and the unit" in out
    assert out.count("Not taken. tow_vehicle.gvwr: ") == 3
    assert "Noted: 9900 lb." in out
    assert "  gvwr: 9900 lb" in text


def test_what_no_rig_file_takes_is_not_taken(talk):
    _, out, _, text = talk(
        "places: uk\nplaces: gb\nname: \nname: " + "x" * 121 + "\nname: Elm\n" + "tow_vehicle.kind: 9\ncoupling.kind: ball\n"
        "coupling.kind: 6\ntrailer.axles.axle.number: 2.5\ndate: yesterday\ntow_vehicle.axles.front.tyres.count: 3\n"
    )
    assert "found 'uk'" in out and "write 'gb'" in out
    assert "The file cannot be read without this." in out
    assert "121 characters" in out
    assert "found '9'; expected one of car, suv" in out
    assert "found 'ball'" in out
    assert "expected a whole number" in out
    assert "a day as year-month-day" in out
    assert "found '3'; expected 2 or 4" in out
    assert "name: Elm\nplaces: [gb]" in text


def test_a_question_mark_explains_and_back_goes_back(talk):
    answers = BEGIN + "places: us\n@masses: lb\ntow_vehicle.kind: ?\ntow_vehicle.kind: car\ntrailer.kind: back\n"
    answers = answers.replace("coupling.kind: weight_carrying", "coupling.kind: 4\ncoupling.kind: back\ncoupling.kind: 1")
    _, out, _, text = talk(answers + "tow_vehicle.kind: van\ntrailer.kind: boat\n")
    assert "If you do not know it, leave it empty" in out
    assert "kind: van" in text and "kind: weight_carrying" in text and "kind: boat" in text


def test_back_at_the_first_question_says_so(talk):
    _, out, _, _ = talk("places: back\nplaces: us\n" + BEGIN)
    assert "This is the first question." in out


def test_skip_leaves_out_a_section(talk):
    _, out, _, _ = talk(BEGIN + "@front tyres: skip\n")
    assert "Front tyres: size." not in out
    assert "Rear tyres: size." in out


def test_stopped_before_the_file_can_be_read_nothing_is_written(talk):
    code, _, err, text = talk("places: us\n@masses: lb\nname: stop\n")
    assert (code, text) == (3, "")
    assert "nothing was written: a rig file needs at least a name and the kind of coupling" in err


def test_going_back_behind_what_a_file_needs_takes_it_away_again(talk):
    code, _, _, text = talk("name: Elm\ncoupling.kind: 1\ntrailer.kind: back\ncoupling.kind: stop\n")
    assert (code, text) == (3, "")


def test_stopped_and_gone_on_with_asks_only_what_is_open(talk, tmp_path):
    _, _, _, first = talk(FIFTH_WHEEL.replace("tow_vehicle.payload: 2710", "tow_vehicle.payload: stop"))
    assert "weighings:" in first and "increment: 20" not in first
    code, out, err, second = talk("tow_vehicle.max_combination_mass: 24000\n")
    assert (code, err) == (3, "")
    assert "rig.yaml is there already" in out and "edited by hand" not in out
    assert "Name." not in out and "Which unit" not in out  # the unit is the one that the file uses
    assert "gross vehicle weight rating (GVWR), in lb.\nThe most the loaded vehicle" not in out
    assert "gcwr: 24000 lb" in second and "gvwr: {value: 10000 lb" in second
    assert "# gcwr:" not in second
    straight = FIFTH_WHEEL.partition("tow_vehicle.payload")[0] + "tow_vehicle.max_combination_mass: 24000\n"
    assert talk(straight, name="other.yaml")[3] == second


def test_a_file_edited_by_hand_keeps_every_line(talk, tmp_path):
    target = tmp_path / "mine.yaml"
    mine = (
        "# photographs: album 3\r\nrig: 1\r\nname: 'Mine'   # quoted\r\nplaces: [us]\r\n"
        "tow_vehicle: {kind: pickup} # one line\r\n"
        "coupling:\r\n    kind: fifth_wheel\r\n    parts:\r\n        my head: {max_towed_mass: 16000 lb}  # stamped\r\n"
        "trailer:\r\n  gvwr: 14000 lb # label\r\n"
        "weighings:\r\n- {state: coupled, front: 4760 lb, increment: 20 lb}\r\n# end\r\n"
    )
    target.write_bytes(mine.encode())
    answers = "tow_vehicle.max_mass: 10000\ntrailer.kind: fifth_wheel\nweighings.coupled.rear: 5720\n"
    code, out, err, _ = talk(
        answers + "tow_vehicle.axles.rear.max_load: 6600\nweighings.alone.increment: 20\n", name="mine.yaml"
    )
    text = target.read_bytes().decode()
    assert (code, err) == (1, "")  # 4760 lb + 5720 lb is more than 10000 lb
    assert "It was edited by hand" in out
    assert all(line.split("}")[0] in text for line in mine.split("\r\n"))
    assert [line for line in text.split("\r\n") if "\n" in line] == []
    assert "tow_vehicle: {kind: pickup, gvwr: 10000 lb, axles: {rear: {gawr: 6600 lb}}} # one line\r\n" in text
    assert "  gvwr: 14000 lb # label\r\n  kind: fifth_wheel\r\n" in text
    assert "- {state: coupled, front: 4760 lb, increment: 20 lb, rear: 5720 lb}\r\n# end\r\n" in text
    assert "alone" not in text  # a ticket without a reading is none


def test_a_file_that_cannot_be_read_stays_as_it_is(talk, tmp_path):
    target = tmp_path / "rig.yaml"
    target.write_text("rig: 1\nname: x\ntow_vehicle: {gvwr: 9900}\n", "utf-8")
    code, out, err, text = talk(BEGIN)
    assert (code, out) == (4, "")
    assert "rig.yaml:3:21: tow_vehicle.gvwr: found the bare number 9900" in err
    assert text == "rig: 1\nname: x\ntow_vehicle: {gvwr: 9900}\n"


def test_a_file_changed_by_somebody_else_meanwhile_is_not_overwritten(tmp_path):
    path = tmp_path / "rig.yaml"
    answers = Answers({"rig": 1, "name": "a", "tow_vehicle": {}, "coupling": {"kind": "pintle"}, "trailer": {}})
    keeper = Keeper(path, None, answers)
    keeper.keep(answers)
    path.write_text("somebody else's", "utf-8")
    with pytest.raises(NotKept, match="changed by something else"):
        keeper.keep(answers.put(("name",), "b"))
    assert path.read_text("utf-8") == "somebody else's"


def test_a_file_that_only_its_owner_may_read_stays_so(talk, tmp_path):
    talk(BEGIN)
    (tmp_path / "rig.yaml").chmod(0o600)
    talk("tow_vehicle.kind: car\n")
    assert (tmp_path / "rig.yaml").stat().st_mode & 0o777 == 0o600
    assert "kind: car" in (tmp_path / "rig.yaml").read_text("utf-8")


def test_a_disk_that_takes_nothing_is_told_and_the_file_stays_as_it_was(talk, monkeypatch):
    before = talk(BEGIN)[3]

    def full(path, text):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(write, "whole", full)
    code, _, err, after = talk("tow_vehicle.kind: car\n")
    assert (code, after) == (4, before)
    assert "was not written: No space left on device; it is as it was before the last answer" in err


def test_answers_that_nothing_asked_for_are_named(talk):
    _, _, err, _ = talk(BEGIN + "places: gb\ntow_vehicle.payload: 500 kg\ntrailer.kind: boat\ntrailer.kind: horse\n")
    assert "not asked, or not again: tow_vehicle.payload\n" in err
    assert "not asked, or not again: trailer.kind\n" in err
    assert err.count("\n") == 2


def test_an_empty_vehicle_and_a_ticket_judge_the_payload(talk):
    """7050 lb - 5200 lb = 1850 lb may be added; a coupled vehicle of 6660 lb has 6660 - 5200 = 1460 lb on it."""
    code, out, _, text = talk(
        BEGIN + "places: us\n@masses: lb\ntow_vehicle.max_mass: 7050\ntow_vehicle.payload: 1850\n@empty: yes\n"
        "tow_vehicle.unloaded.total: 5200\nweighings.coupled.increment: 20\nweighings.coupled.front: 2880\n"
        "weighings.coupled.rear: 3780\n"
    )
    assert code == 3
    assert "curb weight, in lb." in out
    assert "    total: {value: 5200 lb, source: scale_ticket}" in text
    assert "tongue weight, 1460 lb ±" in out and "is within the placard's payload, 1850 lb; 390 lb remain." in out


VEHICLE = (
    BEGIN + "@masses: lb\n@vehicle label: yes\ntow_vehicle.max_mass: 6800\n@empty: yes\ntow_vehicle.unloaded.total: 5200\n"
)
HITCH = "coupling.hardware_mass: 40\n@coupling load: yes\ncoupling_load: 700\n"


def test_people_and_cargo_estimated_judge_a_rig_that_was_never_weighed(talk):
    """5200 lb + 1000 lb + 40 lb + 700 lb = 6940 lb; 4000 lb + 1500 lb = 5500 lb; estimates are known to 20 %."""
    code, out, _, text = talk(
        f"{VEHICLE}tow_vehicle.load.people and cargo.mass: 1000\n{HITCH}"
        "trailer.max_mass: 5000\ntrailer.unloaded.total: 4000\ntrailer.load.cargo.mass: 1500\n"
    )
    assert code == 1
    assert (
        "≈ The loaded tow vehicle, 6940 lb, is too close to its maximum mass, 6800 lb, to tell: it would be past by 140 lb, but"
        in out
    )
    assert "▲ The loaded trailer, 5500 lb ± 3" in out and "by 500 lb." in out, "more than the estimate can be wrong by"
    assert (
        "people and cargo:\n      mass: 1000 lb  # Mass\n      person: yes\n" in text
        and "    cargo:\n      mass: 1500 lb" in text
    )


def test_nobody_aboard_is_no_answer_and_is_asked_again(talk):
    code, out, _, text = talk(
        f"{VEHICLE}tow_vehicle.load.people and cargo.mass: 0\ntow_vehicle.load.people and cargo.mass: 170\n{HITCH}"
    )
    assert "Not taken. tow_vehicle.load.people and cargo.mass: found '0 lb'; expected what somebody weighs" in out
    assert "mass: 170 lb" in text and code == 3


@pytest.mark.parametrize(("aboard", "judged"), [("", False), ("tow_vehicle.load.people and cargo.mass: 170\n", True)])
def test_people_and_cargo_left_out_are_unknown_and_not_nothing(aboard, judged, talk):
    _, out, _, _ = talk(f"{VEHICLE}{aboard}{HITCH}")
    assert ("● The loaded tow vehicle, 6110 lb" in out) is judged  # 5200 lb + 170 lb + 40 lb + 700 lb
    assert ("The loaded tow vehicle" in out) is judged


def test_a_choice_that_was_left_out_is_listed_in_its_comment(talk):
    assert "# use:  # Use. Choose one. One of: private, commercial." in talk(BEGIN)[3]


HOSTILE = [
    "<script>alert(1)</script>",
    "]: {a: *b",
    "# no comment",
    "'\"\\",
    "=1+1",
    "\x1b[31mred",
    "\u202eedoc",
    "yes",
    "1e3",
    "|",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_a_name_or_is_refused_and_never_reaches_the_terminal_raw(name, talk, tmp_path):
    code, out, _, _ = talk(f"name: {name}\nname: plain\ncoupling.kind: pintle\ntow_vehicle.max_mass: {name}\n")
    assert code == 3
    assert "\x1b" not in out and "\u202e" not in out
    assert rig.load(tmp_path / "rig.yaml").name in (name, "plain")
    assert rig.load(tmp_path / "rig.yaml").name == ("plain" if "\x1b" in name else name)


def test_units_from_the_command_line_are_not_asked_for(talk):
    _, out, _, text = talk(BEGIN + "tow_vehicle.max_mass: 3200\n", "--units", "metric")
    assert "Which unit" not in out
    assert "max_mass: 3200 kg" in text


def test_places_of_the_settings_choose_the_words(talk, tmp_path):
    (tmp_path / "rigmargin.yaml").write_text("settings: 1\nplaces: [au]\n", "utf-8")
    _, out, _, text = talk(BEGIN)
    assert "gross vehicle mass (GVM)" in out
    assert "# gvm:" in text


@pytest.mark.parametrize("name", ["rig.txt", "nowhere/rig.yaml"])
def test_a_name_that_no_rig_file_can_have_is_refused_at_once(name, talk, capsys):
    code, out, err, _ = talk(BEGIN, name=name)
    assert (code, out) == (2, "")
    assert name.partition("/")[0] in err


def test_a_script_that_names_no_question_is_told_line_by_line(talk, tmp_path):
    code, _, err, text = talk("# a comment\n\ngvwr: 7050 lb\nname\n" + BEGIN)
    assert (code, text) == (4, "")
    assert "answers.txt:3:1: found 'gvwr: 7050 lb'" in err and "answers.txt:4:1: found 'name'" in err
    assert cli.main(["start", str(tmp_path / "rig.yaml"), "--answers", str(tmp_path / "none.txt")]) == 4


@pytest.mark.parametrize("leave", [b"\x04", signal.SIGINT], ids=["end of input", "interrupted"])
def test_on_a_terminal_it_is_plain_lines_without_any_control(leave, tmp_path):
    """A real terminal: what a screen reader gets, and what a person who goes away leaves."""
    ours, theirs = pty.openpty()
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a run in the background ignores it, and hands that on
    with subprocess.Popen(
        [sys.executable, "-m", "rigmargin", "start", "rig.yaml"], stdin=theirs, stdout=theirs, stderr=theirs, cwd=tmp_path,
        env={**os.environ, "TERM": "xterm-256color"}, close_fds=True,
    ) as run:  # fmt: skip
        signal.signal(signal.SIGINT, before)
        os.close(theirs)
        os.write(ours, b"us\n1\nElm\n3\n1\n")
        said, until = b"", time.monotonic() + 60
        try:
            while time.monotonic() < until:
                if select.select([ours], [], [], 0.5)[0]:
                    said += os.read(ours, 4096)
                elif said.endswith(b"10 for other\r\nAnswer: "):  # it waits for the question after those
                    os.write(ours, leave) if isinstance(leave, bytes) else run.send_signal(leave)
        except OSError:
            pass  # the other end has closed
        if time.monotonic() >= until:
            run.kill()
        assert run.wait(60) == 3
    os.close(ours)
    assert b"\x1b" not in said
    assert b"Coupling: kind." in said
    assert "kind: pickup" in (tmp_path / "rig.yaml").read_text("utf-8")


ANSWERS = st.sampled_from(
    ["", "?", "back", "skip", "yes", "no", "1", "2", "3", "6", "20", "72", "700 kg", "7050", "7050 lb", "3.5 t", "80 psi",
     "us", "gb", "au, nz", "E", "125/122", "2026-05-02", "LT275/70R18", "none", "Ash", *HOSTILE]
) | st.text(max_size=12)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(lines=st.lists(ANSWERS, max_size=70))
def test_whatever_is_answered_the_file_can_be_read_and_gone_on_with(lines, tmp_path):
    path = tmp_path / "rig.yaml"
    path.unlink(missing_ok=True)
    waiting = iter(["us", "lb", "Ash", "3", "2", "1", *lines])
    begun = Answers({"rig": 1, "tow_vehicle": {}, "trailer": {}})
    keeper = Keeper(path, None, begun)

    def answer(_):
        try:
            return next(waiting)
        except StopIteration:
            raise Left from None

    left = Session(State(begun), NONE, answer, lambda line: None, keeper.keep, lambda known: ()).run()
    assert path.exists() == left.complete()
    if path.exists():
        assert rig.load(path).name == left.data["name"]
        again = Answers(document.read(path).data)
        assert again.data == left.readable().data
        assert not Keeper(path, path.read_text("utf-8"), again).edited
        shown = {q.path[-1] for q in file_text.open_questions(again)}
        assert all(f"{again.name(q.path)}:" in path.read_text("utf-8") for q in questions.every() if q.path[-1] in shown)


EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda p: p.name)
@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(lines=st.lists(ANSWERS, max_size=25))
def test_whatever_is_answered_a_file_of_somebody_elses_keeps_every_character(example, lines, tmp_path):
    before = example.read_text("utf-8")
    path = tmp_path / example.name
    path.write_text(before, "utf-8")
    begun = Answers(document.read(path).data)
    keeper = Keeper(path, before, begun)
    assert keeper.edited
    waiting = iter(["lb", *lines])

    def answer(_):
        try:
            return next(waiting)
        except StopIteration:
            raise Left from None

    left = Session(State(begun), NONE, answer, lambda line: None, keeper.keep, lambda known: ()).run()
    after = path.read_text("utf-8")
    rest = iter(after)
    assert all(character in rest for character in before)
    assert document.read(path).data == left.readable().data
