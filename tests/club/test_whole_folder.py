"""Several files are rewritten or none, whatever happens in between."""

import json
import os
import re
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from rigmargin.club import whole_folder
from rigmargin.club.whole_folder import JOURNAL, NotWritten, Replacement, replace_all, stopped, undo, unfinished

NAMES = ("a.yaml", "b/c.yaml", "d.yaml")
OLD, NEW = b"old \xc3\xa4\r\n", b"new\n"


@pytest.fixture
def folder(tmp_path):
    top = tmp_path / "rigs"
    (top / "b").mkdir(parents=True)
    for name in NAMES:
        (top / name).write_bytes(OLD)
    return top


def all_of(names=NAMES):
    return [Replacement(name, OLD, NEW) for name in names]


def contents(folder):
    return [(folder / name).read_bytes() for name in NAMES]


def left(folder):
    """What a run has left behind."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()) != sorted(NAMES)


def test_all_are_replaced_with_their_permissions_and_nothing_is_left_behind(folder):
    os.chmod(folder / "a.yaml", 0o640)
    replace_all(folder, all_of())
    assert contents(folder) == [NEW] * 3
    assert stat.S_IMODE((folder / "a.yaml").stat().st_mode) == 0o640
    assert not left(folder)
    assert not (folder / JOURNAL).exists()


@pytest.mark.parametrize("at", range(11))
@pytest.mark.parametrize("kind", [OSError(28, "No space left on device"), KeyboardInterrupt()], ids=["disk full", "stopped"])
def test_a_failure_at_any_step_leaves_every_file_as_it_was(folder, monkeypatch, at, kind):
    """Each call that changes the disk fails once: seven contents and plans written, then the renames."""
    calls, original = [], whole_folder._write
    rename = os.replace

    def counted(do):
        def call(*arguments, **named):
            calls.append(do)
            if len(calls) == at + 1:
                raise kind
            return do(*arguments, **named)

        return call

    monkeypatch.setattr(whole_folder, "_write", counted(original))
    monkeypatch.setattr(whole_folder.os, "replace", counted(rename))
    with pytest.raises((NotWritten, KeyboardInterrupt)):
        replace_all(folder, all_of())
    monkeypatch.undo()
    assert contents(folder) == [OLD] * 3
    assert not unfinished(folder)
    replace_all(folder, all_of())
    assert contents(folder) == [NEW] * 3
    assert not left(folder)


#: Stops dead, as by a cut of power, at the call of that number that puts something in its place or deletes the plan.
DIES = (
    """
import os, pathlib, sys
from pathlib import Path
from rigmargin.club.whole_folder import Replacement, replace_all
folder, number = Path(sys.argv[1]), int(sys.argv[2])
calls = 0
def dying(do):
    def call(*arguments, **named):
        global calls
        calls += 1
        if calls == number:
            os._exit(9)
        return do(*arguments, **named)
    return call
os.replace = dying(os.replace)
pathlib.Path.unlink = dying(pathlib.Path.unlink)
os.rmdir = dying(os.rmdir)
replace_all(folder, [Replacement(name, OLD, NEW) for name in NAMES])
""".replace("OLD", repr(OLD))
    .replace("NEW", repr(NEW))
    .replace("NAMES", repr(NAMES))
)


@pytest.mark.parametrize("number", range(1, 8))
def test_a_run_that_dies_is_undone_by_the_next_or_was_whole(folder, number):
    code = subprocess.run([sys.executable, "-c", DIES, str(folder), str(number)], check=False, timeout=60).returncode
    assert code == (9 if number <= 6 else 0), "the plan, three files, the plan's end, the journal's end"
    now = contents(folder)
    if unfinished(folder):
        assert number in (2, 3, 4, 5)
        assert now == [NEW] * (number - 2) + [OLD] * (5 - number)
        with pytest.raises(NotWritten, match="an earlier weigh-in was stopped while it wrote"):
            replace_all(folder, all_of())
        assert undo(folder) == NAMES[: number - 2]
        assert contents(folder) == [OLD] * 3
    else:
        assert now in ([OLD] * 3, [NEW] * 3)
    assert undo(folder) == ()
    fresh = [Replacement(name, content, b"later") for name, content in zip(NAMES, contents(folder), strict=True)]
    replace_all(folder, fresh)
    assert contents(folder) == [b"later"] * 3
    assert not left(folder)


def test_undoing_that_dies_is_undone_again(folder, monkeypatch):
    subprocess.run([sys.executable, "-c", DIES, str(folder), "5"], check=False, timeout=60)
    assert contents(folder) == [NEW] * 3

    def full(path, content, like=None):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(whole_folder, "_write", full)
    with pytest.raises(NotWritten, match="the next run tries again"):
        undo(folder)
    monkeypatch.undo()
    assert undo(folder) == NAMES
    assert contents(folder) == [OLD] * 3


def test_a_write_protected_file_is_refused_and_all_are_named(folder):
    for name in ("a.yaml", "d.yaml"):
        os.chmod(folder / name, 0o444)
    with pytest.raises(NotWritten, match=r"write-protected: 'a\.yaml', 'd\.yaml'; allow writing"):
        replace_all(folder, all_of())
    assert contents(folder) == [OLD] * 3
    assert not (folder / JOURNAL).exists()


def test_an_old_content_that_was_spoilt_is_not_put_back(folder):
    subprocess.run([sys.executable, "-c", DIES, str(folder), "4"], check=False, timeout=60)
    (folder / JOURNAL / "0.old").write_bytes(b"")
    with pytest.raises(NotWritten, match=r"is not what it was: 'a\.yaml'; restore them from a copy"):
        undo(folder)
    assert contents(folder) == [NEW, OLD, OLD], "what could be put back is"
    assert unfinished(folder)


def test_the_end_of_the_plan_is_on_the_disk_before_anything_else_is_deleted(folder, monkeypatch):
    calls = []
    unlink, rmtree, sync = Path.unlink, shutil.rmtree, whole_folder._sync
    monkeypatch.setattr(Path, "unlink", lambda path, *a, **b: (calls.append(path.name), unlink(path, *a, **b))[1])
    monkeypatch.setattr(shutil, "rmtree", lambda path, **b: (calls.append("discard"), rmtree(path, **b))[1])
    monkeypatch.setattr(whole_folder, "_sync", lambda path: (calls.append(f"sync {path.name}"), sync(path))[1])
    replace_all(folder, all_of())
    assert calls[-3:] == ["plan.json", f"sync {JOURNAL}", "discard"]


def test_what_somebody_changed_after_a_stopped_run_is_not_overwritten(folder):
    subprocess.run([sys.executable, "-c", DIES, str(folder), "4"], check=False, timeout=60)
    (folder / "a.yaml").write_bytes(b"by hand")  # it had been renamed
    (folder / "d.yaml").write_bytes(b"by hand too")  # it had not
    with pytest.raises(NotWritten, match=r"'a.yaml' \(its old content is in \.rigmargin-weigh-in/0\.old\)"):
        undo(folder)
    assert contents(folder) == [b"by hand", OLD, b"by hand too"]
    assert (folder / JOURNAL / "0.old").read_bytes() == OLD


def test_a_file_that_has_changed_since_it_was_read_stops_the_run(folder):
    (folder / "d.yaml").write_bytes(b"by hand")
    with pytest.raises(NotWritten, match=r"'d\.yaml' has changed since it was read"):
        replace_all(folder, all_of())
    assert contents(folder) == [OLD, OLD, b"by hand"]
    assert not left(folder)


def test_a_file_or_folder_that_has_gone_stops_the_run(folder):
    with pytest.raises(NotWritten, match="No such file"):
        replace_all(folder, [*all_of(), Replacement("gone.yaml", OLD, NEW)])
    assert contents(folder) == [OLD] * 3
    with pytest.raises(NotWritten, match="No such file"):
        replace_all(folder / "gone", all_of())


def test_two_runs_at_once_do_not_mix(folder):
    with whole_folder._alone(folder), pytest.raises(NotWritten, match="another run is writing into this folder"):
        replace_all(folder, all_of())
    with whole_folder._alone(folder / "b"), pytest.raises(NotWritten, match="this folder or one below it"):
        replace_all(folder, all_of())
    with whole_folder._alone(folder.parent), pytest.raises(NotWritten, match=f"into '{re.escape(str(folder.parent))}'"):
        replace_all(folder, all_of())
    assert contents(folder) == [OLD] * 3
    (folder / "beside").mkdir()
    with whole_folder._alone(folder / "beside"):
        replace_all(folder / "b", [Replacement("c.yaml", OLD, NEW)])
    assert contents(folder) == [OLD, NEW, OLD]


def test_a_stopped_run_is_seen_from_above_and_from_below(folder):
    subprocess.run([sys.executable, "-c", DIES, str(folder), "3"], check=False, timeout=60)
    (folder / "elsewhere").mkdir()
    now = contents(folder)
    for place, names in ((folder, NAMES), (folder / "b", ("c.yaml",)), (folder.parent, [f"{folder.name}/a.yaml"])):
        assert stopped(place) == (folder,)
        with pytest.raises(NotWritten, match=re.escape(f"run rigmargin weigh-in TABLE {folder} --write")):
            replace_all(place, all_of(names))
    assert contents(folder) == now
    assert undo(folder) == ("a.yaml",)
    assert stopped(folder.parent) == stopped(folder / "b") == ()


@pytest.mark.parametrize("path", ["../x.yaml", "/etc/x.yaml", "b/../../x.yaml"])
def test_a_plan_from_elsewhere_reaches_no_file_outside(folder, path):
    (folder.parent / "x.yaml").write_bytes(NEW)
    journal = folder / JOURNAL
    journal.mkdir()
    (journal / "0.old").write_bytes(OLD)
    one = {"path": path, "old": whole_folder._hash(OLD), "new": whole_folder._hash(NEW)}
    (journal / "plan.json").write_text(json.dumps({"weigh_in": 1, "files": [one]}), "utf-8")
    with pytest.raises(NotWritten, match="a file outside the folder"):
        undo(folder)
    assert (folder.parent / "x.yaml").read_bytes() == NEW
    (journal / "plan.json").write_text("{", "utf-8")
    with pytest.raises(NotWritten, match="cannot be read"):
        undo(folder)
