"""The batch on a real Dask scheduler with two workers of its own."""

import json
import subprocess
import sys
import time

import pytest
from club.rigs import contents, folder

from rigmargin.club import executors


@pytest.fixture(scope="module")
def cluster(tmp_path_factory):
    """A scheduler and two workers as processes of their own; the scheduler's address."""
    top = tmp_path_factory.mktemp("dask")
    file = top / "scheduler.json"
    scheduler = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--port", "0", "--no-dashboard", "--no-show"]
    worker = [sys.executable, "-m", "distributed.cli.dask_worker", "--no-dashboard", "--nthreads", "1"]
    known = ["--scheduler-file", str(file)]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": top}
    running = [subprocess.Popen([*scheduler, *known], **quiet)]
    running += [subprocess.Popen([*worker, *known], **quiet) for _ in range(2)]
    try:
        for _ in range(300):
            if file.exists() and file.read_text("utf-8").strip():
                break
            time.sleep(0.1)
        yield json.loads(file.read_text("utf-8"))["address"].removeprefix("tcp://")
    finally:
        for process in running[::-1]:
            process.terminate()
            process.wait(20)


def _club(top, out, *more):
    command = [sys.executable, "-m", "rigmargin", "club", str(top), "--out", str(out), "--reports", "json,html", *more]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


def test_a_cluster_says_the_same_as_this_machine(cluster, tmp_path):
    top = folder(tmp_path / "rigs", 70, over={5, 60})
    here = _club(top, tmp_path / "here", "--workers", "1")
    there = _club(top, tmp_path / "there", "--on", f"dask://{cluster}")
    assert (here.returncode, there.returncode) == (1, 1), there.stderr
    assert contents(tmp_path / "here") == contents(tmp_path / "there")
    assert there.stderr == ""


def test_a_cluster_with_other_rules_is_refused(cluster, tmp_path, monkeypatch):
    with executors.dask(f"dask://{cluster}", ()) as site:
        assert site.width == 2
    monkeypatch.setattr("rigmargin.club.fingerprint.rigmargin.__version__", "0.0.0")
    with pytest.raises(executors.NoCluster, match="has other rules or another rigmargin"), executors.dask(cluster, ()):
        pass
