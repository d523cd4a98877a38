"""What changed between two revisions: every kind of turn, every fate of a file, and the exit code of each.

The rig of these tests weighs 2880 + rear lb on two readings in steps of 20 lb, against 7050 lb. One reading is known to
20 / sqrt(12) = 5.8 lb, both together to 2 * 8.2 = 16.4 lb (coverage factor 2).
"""

from dataclasses import replace

import pytest
from club_repository import ALDER, CEDAR, MISTY, OTHER_TRUCK, QUARRY
from hypothesis import given, settings
from hypothesis import strategies as st

from rigmargin.club import changes as module
from rigmargin.club.changes import changes, turns
from rigmargin.club.git import Refused, repository
from rigmargin.club.snapshot import AtCommit, Now
from rigmargin.judge import plugins
from rigmargin.judge.run import judge
from rigmargin.spec.document import MAX_BYTES
from rigmargin.spec.rig import load as load_rig
from rigmargin.spec.rig import parse
from rigmargin.spec.settings import NONE

POUND = 0.45359237  # kg, by definition
RULES = plugins.load()


def rig(rear="3780 lb", limit="gvwr: 7050 lb", name="a test", ticket=True):
    return (
        f"rig: 1\nname: {name}\ntow_vehicle: {{{limit}}}\ncoupling: {{kind: weight_carrying}}\ntrailer: {{}}\n"
        + f"weighings: [{{state: coupled, front: 2880 lb, rear: {rear}, increment: 20 lb}}]\n" * ticket
    )


def _found(club, old="HEAD", new=None, places=()):
    return changes(repository(club.folder), old, new, lambda _: (NONE, RULES), places=places)


def _gross(found):
    (only,) = found.rigs
    return [turn for turn in only.turns if turn.after and turn.after.rule == "tow-vehicle-gross"]


#: Rear axle before and after: what became of the gross mass, and the exit code. Margins by hand: 7050 - 2880 - rear.
TURNS = {
    "less room": ("3780 lb", "3900 lb", "worsens", 0),  # 390 to 270
    "more room": ("3900 lb", "3780 lb", "improves", 0),
    "newly over": ("3780 lb", "4200 lb", "fails", 1),  # 390 to -30
    "cleared": ("4200 lb", "3780 lb", "clears", 0),
    "further over": ("4200 lb", "4300 lb", "further", 1),  # -30 to -130
    "less over": ("4300 lb", "4200 lb", "improves", 0),
    "newly too close": ("3780 lb", "4160 lb", "opens", 3),  # 390 to 10, known to 16.4
    "too close no more": ("4160 lb", "3780 lb", "settles", 0),
    "past, in doubt": ("4160 lb", "4180 lb", "opens", 3),  # 10 to -10, known to 16.4
    "past no more, in doubt": ("4180 lb", "4160 lb", "improves", 0),
    "over, then too close": ("4200 lb", "4160 lb", "opens", 3),  # what fails is not cleared by doubt
}


@pytest.mark.parametrize("case", TURNS)
def test_turns_of_one_margin(club, case):
    before, after, kind, code = TURNS[case]
    club.write("a.yaml", rig(before))
    club.commit()
    club.write("a.yaml", rig(after))
    found = _found(club)
    assert [turn.kind for turn in _gross(found)] == [kind]
    assert found.code == code
    assert found.rigs[0].status == "changed"


def test_a_limit_taken_away_leaves_the_check_open(club):
    club.write("a.yaml", rig())
    club.commit()
    club.write("a.yaml", rig(limit=""))
    found = _found(club)
    assert [(t.kind, t.before.verdict, t.after.verdict) for t in _gross(found)] == [("opens", "within", "not_checked")]
    assert found.code == 3


def test_a_part_taken_away_that_was_over_is_not_cleared_by_silence(club):
    club.take(ALDER)
    club.change(ALDER, "king pin: {", "adapter: {max_vertical_load: 900 lb}\n    king pin: {")
    club.commit()
    club.write(
        ALDER, "".join(line for line in (club.folder / ALDER).read_text("utf-8").splitlines(True) if "adapter" not in line)
    )
    found = _found(club)
    gone = [turn for turn in found.rigs[0].turns if turn.after is None]
    assert [(t.before.rule, t.before.verdict, t.kind) for t in gone if t.before.verdict == "over"] == [
        ("coupling-vertical", "over", "opens")
    ]
    assert found.code == 3


@pytest.mark.parametrize("silence", ["gone", "not_applicable", "note"])
@pytest.mark.parametrize("verdict", ["too_close", "conflict"])
def test_doubt_is_not_cleared_by_silence(verdict, silence):
    report = _report(200)
    one = next(finding for finding in report.findings if finding.rule == "tow-vehicle-gross")
    before = replace(report, findings=(one._replace(verdict=verdict),))
    after = replace(report, findings=() if silence == "gone" else (one._replace(verdict=silence),))
    assert [turn.kind for turn in turns(before, after)] == ["opens"]


def test_a_part_taken_away_that_was_too_close_leaves_the_check_open(club):
    """The load on the coupling of this rig is read to some 20 lb: a limit at that very figure is too close to tell."""
    club.take(ALDER)
    findings = judge(load_rig(club.folder / ALDER), RULES).findings
    load = next(f.load for f in findings if f.rule == "coupling-vertical" and f.load)
    club.change(ALDER, "king pin: {", f"adapter: {{max_vertical_load: {load:.1f} kg}}\n    king pin: {{")
    club.commit()
    club.write(
        ALDER, "".join(line for line in (club.folder / ALDER).read_text("utf-8").splitlines(True) if "adapter" not in line)
    )
    found = _found(club)
    gone = [(t.before.verdict, t.kind) for t in found.rigs[0].turns if t.after is None and t.before.rule == "coupling-vertical"]
    assert gone == [("too_close", "opens")]
    assert found.code == 3


@pytest.mark.parametrize(
    ("before", "after"), [("7050 lb", "7050.4 lb"), ("7050.9 lb", "7051.1 lb"), ("3197.4 kg", "3197.9 kg")]
)
def test_a_margin_that_moved_by_less_than_the_rounding_shown_is_not_listed(club, before, after):
    """0.4 lb, 0.2 lb over a whole pound, and half a kilogram in a rig most of whose masses are in pounds (1.1 lb: listed)."""
    club.write("a.yaml", rig(limit=f"gvwr: {before}"))
    club.commit()
    club.write("a.yaml", rig(limit=f"gvwr: {after}"))
    listed = [turn.kind for turn in _gross(_found(club))]
    assert listed == (["improves"] if "kg" in before else [])


def test_every_fate_of_a_file(club):
    for name in ("removed", "broken", "broken twice", "mended", "unchanged", "remarked", "no rig any more"):
        club.write(f"{name}.yaml", rig(name=name))
    club.write("renamed.yaml", rig(name="renamed") + "".join(f"# remark {n}\n" for n in range(30)))
    club.write("broken twice.yaml", rig(limit="gvwr: 7050"))
    club.write("mended.yaml", rig(limit="gvwr: 7050"))
    club.write("other.yaml", "regulations: 1\n")
    first = club.commit()
    (club.folder / "removed.yaml").unlink()
    club.write("added.yaml", rig("4000 lb", name="added") + "# quite another file\n")
    club.git("mv", "renamed.yaml", "new name.yml")
    club.write("broken.yaml", rig(limit="gvwr: 7050"))
    club.write("broken twice.yaml", rig(limit="gvwr: 7051"))
    club.write("mended.yaml", rig())
    club.change("remarked.yaml", "rig: 1", "rig: 1  # a remark")
    club.change("no rig any more.yaml", "rig: 1", "boat: 1")
    club.write("other.yaml", "regulations: 2\n")
    second = club.commit()
    found = _found(club, first, second)
    assert {(r.path, r.status, r.newly_unreadable, r.code) for r in found.rigs} == {
        ("removed.yaml", "removed", False, 0),
        ("no rig any more.yaml", "unreadable", True, 4),
        ("added.yaml", "added", False, 3),
        ("new name.yml", "renamed", False, 0),
        ("broken.yaml", "unreadable", True, 4),
        ("broken twice.yaml", "unreadable", False, 0),
        ("mended.yaml", "readable", False, 3),
        ("remarked.yaml", "changed", False, 0),
    }
    assert [r.code for r in found.rigs] == sorted((r.code for r in found.rigs), key=module.SEVERITY.index)
    assert found.code == 4
    by_path = {r.path: r for r in found.rigs}
    assert by_path["new name.yml"].before.path == "renamed.yaml"
    assert not by_path["new name.yml"].turns and not by_path["remarked.yaml"].turns
    (problem,) = by_path["broken.yaml"].after.problems
    assert str(problem).startswith("broken.yaml:3:21: tow_vehicle.gvwr: found the bare number 7050;")
    assert "'boat'" in str(by_path["no rig any more.yaml"].after.problems[0])
    assert {turn.kind for turn in by_path["added.yaml"].turns} == {"opens"}


def test_a_file_moved_and_not_yet_added_is_followed(club):
    club.write("one.yaml", rig("4200 lb"))
    club.write("two.yaml", rig("4200 lb", name="two"))
    club.commit()
    (club.folder / "members").mkdir()
    for name in ("one.yaml", "two.yaml"):
        (club.folder / name).rename(club.folder / "members" / name)
    assert [(r.path, r.status, r.before.path, r.code) for r in _found(club).rigs] == [
        ("members/one.yaml", "renamed", "one.yaml", 0),
        ("members/two.yaml", "renamed", "two.yaml", 0),
    ]
    club.write("members/one again.yaml", rig("4200 lb"))
    assert {(r.path, r.status) for r in _found(club).rigs} == {
        ("members/one again.yaml", "renamed"),
        ("members/one.yaml", "added"),
        ("members/two.yaml", "renamed"),
    }, "one of the two is new, and over"


def test_a_like_file_of_another_rig_is_another_rig(club):
    """Files of one club are much alike: 200 lines in common, and another name. 2880 + 4200 lb is 30 lb past 7050 lb."""
    remarks = "".join(f"# remark {n}\n" for n in range(200))
    club.write("one.yaml", rig("4300 lb", name="one") + remarks)
    club.commit()
    club.git("rm", "-q", "one.yaml")
    club.write("two.yaml", rig("4200 lb", name="two") + remarks)
    club.git("add", "-A")
    found = _found(club)
    assert [(r.path, r.status, r.code) for r in found.rigs] == [("two.yaml", "added", 1), ("one.yaml", "removed", 0)]
    assert [(t.kind, t.before) for t in found.rigs[0].turns if t.after.rule == "tow-vehicle-gross"] == [("fails", None)]
    club.change("two.yaml", "name: two", "name: one")
    assert [(r.path, r.status) for r in _found(club).rigs] == [("two.yaml", "renamed")]


def test_a_file_that_cannot_be_opened_is_a_row(club, monkeypatch):
    club.write("a.yaml", rig())
    club.commit()
    club.write("a.yaml", rig("3800 lb"))
    club.write("b.yaml", rig())

    def vanish(self, paths):
        for path in paths:
            (self.root / path).unlink()
        return {}

    monkeypatch.setattr(Now, "raw", vanish)
    found = _found(club)
    assert [(r.path, r.status, r.code) for r in found.rigs] == [("a.yaml", "unreadable", 4), ("b.yaml", "added", 4)]
    assert [str(r.after.problems[0]).partition(" (")[0] for r in found.rigs] == [
        "a.yaml: found no readable file",
        "b.yaml: found no readable file",
    ]


def test_two_revisions_and_the_work_tree_give_the_same(club):
    for name in (ALDER, QUARRY, MISTY):
        club.take(name, to=f"fleet é/{name}")
    first = club.commit()
    club.change(f"fleet é/{ALDER}", "value: 10000 lb", "value: 9400 lb")
    club.change(f"fleet é/{MISTY}", "gvwr", "gwvr")
    now = _found(club, first)
    then = _found(club, first, club.commit())
    shape = [
        [(r.path, r.status, r.code, [(t.kind, t.after and t.after.key) for t in r.turns]) for r in f.rigs] for f in (now, then)
    ]
    assert shape[0] == shape[1]
    assert [str(p) for p in now.rigs[0].after.problems] == [str(p) for p in then.rigs[0].after.problems]
    assert str(then.rigs[0].after.problems[0]).startswith(f"fleet é/{MISTY}:")


def test_a_file_that_an_option_names_counts_with_the_rig_that_names_it(club):
    for name in (CEDAR, OTHER_TRUCK, QUARRY):
        club.take(name, to=f"north/{name}")
    first = club.commit()
    club.change(f"north/{OTHER_TRUCK}", "wheelbase: ", "wheel_base: ")
    second = club.commit()
    for new in (None, second):
        found = _found(club, first, new)
        assert [(r.path, r.status) for r in found.rigs] == [
            (f"north/{CEDAR}", "unreadable"),
            (f"north/{OTHER_TRUCK}", "unreadable"),
        ]
        assert any(p.file == f"north/{OTHER_TRUCK}" for p in found.rigs[0].after.problems)
    club.git("revert", "--no-edit", "HEAD")
    club.git("rm", "-q", f"north/{OTHER_TRUCK}")
    found = _found(club, first, club.commit())
    assert [(r.path, r.status, r.code) for r in found.rigs] == [
        (f"north/{CEDAR}", "unreadable", 4),
        (f"north/{OTHER_TRUCK}", "removed", 0),
    ]
    assert "which is no file" in str(found.rigs[0].after.problems[0])


def test_a_file_that_an_option_names_and_only_the_work_tree_has_is_no_fault_of_a_revision(club):
    """The rig is as it was, and some of it fails: nothing newly does, and it could be read all the time."""
    club.take(CEDAR, OTHER_TRUCK)
    club.write(".gitignore", f"{OTHER_TRUCK}\n")
    first = club.commit()
    club.change(CEDAR, "rig: 1", "rig: 1  # seen")
    second = club.commit()
    for new, absent in ((None, ()), (second, (OTHER_TRUCK,))):
        (only,) = _found(club, first, new).rigs
        assert (only.status, only.code, only.turns) == ("changed", 0, ())
        assert (only.before.absent, only.after.absent) == ((OTHER_TRUCK,), absent)
        assert (only.before.overall, only.before.problems) == (only.after.overall, ())
    club.write(".gitignore", "")
    third = club.commit()
    (back,) = [r for r in _found(club, third, second).rigs if r.path == CEDAR]
    assert (back.status, back.code, back.before.absent) == ("unreadable", 4, ()), "a file that was there is newly lost"


def test_a_rig_whose_options_name_a_changed_file_is_not_listed_where_nothing_came_of_it(club):
    club.take(CEDAR, OTHER_TRUCK)
    club.commit()
    club.change(OTHER_TRUCK, "rig: 1", "rig: 1  # seen")
    assert [r.path for r in _found(club).rigs] == [OTHER_TRUCK]


def test_only_what_differs_is_judged(club, monkeypatch):
    for number in range(20):
        club.write(f"{number}.yaml", rig(name=str(number)))
    club.take(CEDAR, OTHER_TRUCK)
    club.commit()
    club.write("7.yaml", rig("3800 lb", name="7"))
    seen = []
    real = module.judged
    monkeypatch.setattr(module, "judged", lambda side, path, *by, **how: seen.append(path) or real(side, path, *by, **how))
    assert [r.path for r in _found(club).rigs] == ["7.yaml"]
    assert seen == ["7.yaml", "7.yaml"], "once for each side"


def test_only_the_places_asked_for(club):
    for name in ("north/a.yaml", "south/a.yaml", "north of it/a.yaml"):
        club.write(name, rig())
    first = club.commit()
    for name in ("north/a.yaml", "south/a.yaml", "north of it/a.yaml"):
        club.write(name, rig("4200 lb"))
    assert len(_found(club, first).rigs) == 3
    assert [r.path for r in _found(club, first, None, ["north"]).rigs] == ["north/a.yaml"]
    assert [r.path for r in _found(club, first, None, ["south/a.yaml", "north"]).rigs] == ["north/a.yaml", "south/a.yaml"]
    with pytest.raises(Refused, match="nothing at 'nort' on either side"):
        _found(club, first, None, ["nort"])


def test_a_rig_moved_into_a_place_comes_with_where_it_was(club):
    club.write("south/a.yaml", rig())
    first = club.commit()
    (club.folder / "north").mkdir()
    club.git("mv", "south/a.yaml", "north/a.yaml")
    (moved,) = _found(club, first, None, ["north"]).rigs
    assert (moved.status, moved.before.path) == ("renamed", "south/a.yaml")


def test_a_rule_that_fails_on_both_sides_is_never_silent(club):
    club.write("a.yaml", rig())
    club.commit()
    club.write("a.yaml", rig("3800 lb"))
    club.write(
        "own/reserve.py",
        '"""Ours."""\nfrom rigmargin.judge.rule import rule\n\n@rule("reserve", title="t", each="tow_vehicle", '
        'needs={"load": ".gross"}, basis="b", quantity="q", limit_name="l", why="w", example="e")\n'
        'def reserve(load):\n    """Checks."""\n    raise ValueError("broken")\n',
    )
    broken = plugins.load(str(club.folder / "own"))
    found = changes(repository(club.folder), "HEAD", None, lambda _: (NONE, broken))
    (one,) = found.rigs
    assert [t.kind for t in one.turns if t.after.verdict == "rule_failed"] == ["broken"]
    assert found.code == 5


def test_one_large_file_and_one_that_is_no_text_are_rows(club):
    club.write("large.yaml", rig() + "# filler\n" * 200_000)
    (club.folder / "bytes.yaml").write_bytes(b"rig: 1\nname: \xff\n")
    first = club.commit()
    club.write("large.yaml", rig())
    (club.folder / "bytes.yaml").write_text(rig(), "utf-8")
    second = club.commit()
    assert {(r.path, r.status) for r in _found(club, first, second).rigs} == {
        ("large.yaml", "readable"),
        ("bytes.yaml", "readable"),
    }
    back = _found(club, second, first)
    assert {(r.path, r.status) for r in back.rigs} == {("large.yaml", "unreadable"), ("bytes.yaml", "unreadable")}
    said = "".join(str(r.after.problems[0]) for r in back.rigs)
    assert f"large.yaml: found {len(rig()) + 9 * 200_000} bytes; expected at most 1048576 bytes" in said
    assert "bytes.yaml:2:7: found the byte 0xff" in said
    side = AtCommit(repository(club.folder), first, club.folder)
    assert len(side.raw(["large.yaml"])["large.yaml"]) == MAX_BYTES + 1, "no more of it than tells that it is too large"


def _report(rear):
    return judge(parse(rig(f"{rear} lb"), "a.yaml"), RULES)


@settings(max_examples=60, deadline=None)
@given(st.integers(150, 230), st.integers(150, 230))
def test_looking_back_turns_every_kind_round(one, other):
    """By the verdicts alone: what got worse one way got better the other way, and equal loads are no change."""
    there, back = (
        [t for t in turns(a, b) if t.after.rule == "tow-vehicle-gross"]
        for a, b in ((_report(20 * one), _report(20 * other)), (_report(20 * other), _report(20 * one)))
    )
    if one == other:
        assert there == back == []
        return
    (forth,), (again,) = there, back
    assert forth.before.margin == pytest.approx((7050 - 2880 - 20 * one) * POUND)
    assert (forth.before.verdict, forth.after.verdict) == (again.after.verdict, again.before.verdict)
    pairs = {
        "within within": {("worsens", "improves"), ("improves", "worsens")},
        "over over": {("further", "improves"), ("improves", "further")},
        "too_close too_close": {("opens", "improves"), ("improves", "opens")},  # 10 and -10 are all there is
        "within over": {("fails", "clears")},
        "within too_close": {("opens", "settles")},
        "over too_close": {("opens", "fails")},
        "over within": {("clears", "fails")},
        "too_close within": {("settles", "opens")},
        "too_close over": {("fails", "opens")},
    }
    assert (forth.kind, again.kind) in pairs[f"{forth.before.verdict} {forth.after.verdict}"]
    assert (forth.kind in ("worsens", "fails", "further")) <= (other > one)
    assert (forth.kind == "improves") <= (other < one)
