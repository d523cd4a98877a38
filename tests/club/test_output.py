"""The output folder is old or new and whole, whatever happens to the run that writes it."""

import contextlib
import os
import random
import resource
import subprocess
import sys
import time

import pytest
from club.rigs import contents, folder, small

from rigmargin.club import output


def _command(top, out, *more):
    return [sys.executable, "-m", "rigmargin", "club", str(top), "--out", str(out), "--reports", "json", *more]


def test_killed_at_any_moment_the_output_is_old_or_new_and_whole(tmp_path):
    """Twenty runs killed after a random time; each time the folder holds one of the two outputs, to the byte."""
    top, out = folder(tmp_path / "rigs", 60), tmp_path / "out"
    start = time.perf_counter()
    subprocess.run(_command(top, out), check=False, capture_output=True)
    whole_run = time.perf_counter() - start  # the shortest so far: how busy the machine is changes while this goes on
    seen = {"killed": 0, "done": 0}
    chance = random.Random(20260704)
    states = [contents(out)]
    for turn in range(20):
        (top / "0" / "rig-0000.yaml").write_text(small(f"Turn {turn}"), "utf-8")
        start = time.perf_counter()
        run = subprocess.Popen(
            _command(top, out, "--fresh"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
        )
        with contextlib.suppress(subprocess.TimeoutExpired):
            run.wait(chance.uniform(0.1, 1.1) * whole_run)
            whole_run = min(whole_run, time.perf_counter() - start)
        with contextlib.suppress(ProcessLookupError):
            os.killpg(run.pid, 9)
        seen["killed" if run.wait() == -9 else "done"] += 1
        now = contents(out)
        if now != states[-1]:
            subprocess.run(_command(top, tmp_path / "check", "--fresh"), check=False, capture_output=True)
            assert now == contents(tmp_path / "check"), f"turn {turn}: neither old nor new"
            states.append(now)
    assert seen["killed"] > 5
    subprocess.run(_command(top, out), check=False, capture_output=True)
    subprocess.run(_command(top, tmp_path / "check", "--fresh"), check=False, capture_output=True)
    assert contents(out) == contents(tmp_path / "check")
    left = {entry.name for entry in tmp_path.iterdir()} - {"rigs", "out", "check"}
    assert left <= {".out.lock", ".check.lock"}, "what died left something that the next run did not clear away"


def test_of_two_runs_into_one_folder_one_refuses(tmp_path):
    out = tmp_path / "out"
    with output.held(out):
        found = subprocess.run(_command(folder(tmp_path / "rigs", 1), out), capture_output=True, text=True, check=False)
    assert found.returncode == 4
    assert "another run is writing to" in found.stderr
    assert not out.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_full_disk_leaves_the_old_output_and_says_so(tmp_path):
    top, out = folder(tmp_path / "rigs", 3), tmp_path / "out"
    subprocess.run(_command(top, out), check=False, capture_output=True)
    before = contents(out)
    (top / "0" / "rig-0000.yaml").write_text(small("Changed"), "utf-8")

    def little():
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))  # the reports are longer: every write past it fails

    found = subprocess.run(_command(top, out), capture_output=True, text=True, check=False, preexec_fn=little)
    assert found.returncode == 4
    assert "could not be written (File too large); what was there is as it was" in found.stderr
    assert contents(out) == before
    assert not (tmp_path / ".out.new").exists()


def test_a_folder_that_cannot_be_written_to_is_said(tmp_path):
    (tmp_path / "file").write_text("", "utf-8")
    found = subprocess.run(
        _command(folder(tmp_path / "rigs", 1), tmp_path / "file" / "out"), capture_output=True, text=True, check=False
    )
    assert found.returncode == 4
    assert "could not be written" in found.stderr
    assert "Traceback" not in found.stderr


def test_without_an_exchange_in_one_step_the_next_run_mends_what_died_between_the_two(tmp_path, monkeypatch):
    out = tmp_path / "out"
    monkeypatch.setattr(output, "_exchange", lambda one, other: False)
    for text in ("old", "new"):
        with output.held(out), output.replacing(out) as new:
            (new / output.ROWS).touch()
            (new / output.SUMMARY).write_text(text, "utf-8")
    assert contents(out) == {output.ROWS: b"", output.SUMMARY: b"new"}
    out.rename(tmp_path / ".out.old")  # a run died after it had moved the old output aside
    (tmp_path / ".out.new").mkdir()
    with output.held(out):
        assert contents(out) == {output.ROWS: b"", output.SUMMARY: b"new"}
    assert {entry.name for entry in tmp_path.iterdir()} <= {"out", ".out.lock"}


@pytest.mark.parametrize("after", [0, 1, 2, 3])
def test_a_run_that_dies_while_it_clears_away_leaves_what_the_next_run_knows(after, tmp_path, monkeypatch):
    out, left = tmp_path / "out", tmp_path / ".out.new"
    for name in ("rigs/a.html", "sheets/a.html", output.FINDINGS, output.SUMMARY, output.ROWS):
        (left / name).parent.mkdir(parents=True, exist_ok=True)
        (left / name).touch()
    steps = iter(range(after))

    def dying(real):
        def step(*args, **named):
            if next(steps, None) is None:
                raise KeyboardInterrupt
            return real(*args, **named)

        return step

    with monkeypatch.context() as dies:
        dies.setattr(output.shutil, "rmtree", dying(output.shutil.rmtree))
        dies.setattr(output.Path, "unlink", dying(output.Path.unlink))
        with pytest.raises(KeyboardInterrupt), output.held(out):
            pass
    assert (left / output.ROWS).is_file()
    with output.held(out):
        assert not left.exists()


def test_two_folders_are_exchanged_in_one_step_where_the_system_can(tmp_path):
    one, other = tmp_path / "one", tmp_path / "other"
    for path in (one, other):
        path.mkdir()
        (path / "name").write_text(path.name, "utf-8")
    if output._exchange(one, other):
        assert (one / "name").read_text("utf-8") == "other"
        assert (other / "name").read_text("utf-8") == "one"
    else:
        assert (one / "name").read_text("utf-8") == "one"
