"""The hook, as the pre-commit framework runs it in a club's own repository.

The framework clones what it installs, so what is tested is put into a repository of its own first: a copy of this tree, which
may be no repository itself. Its environment takes our dependencies from the package index, as a user's does.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from club_repository import SETTINGS, Club

TOP = Path(__file__).parents[2]
NEEDED = ("src", "rules", "schemas", "pyproject.toml", "README.md", "LICENSE", ".pre-commit-hooks.yaml")
#: Nothing that looks for newer versions of installers, or goes on in the background after the test.
QUIET = {
    "COLUMNS": "120", "PYTHONIOENCODING": "utf-8", "PIP_DISABLE_PIP_VERSION_CHECK": "1", "VIRTUALENV_NO_PERIODIC_UPDATE": "1",
}  # fmt: skip
PAGE = TOP / "docs" / "club-ci.md"


@pytest.fixture(scope="module")
def config(tmp_path_factory):
    """The configuration that the page shows, with a copy of this tree in place of its address."""
    ours = Club(tmp_path_factory.mktemp("ours") / "rigmargin")
    for name in NEEDED:
        if (TOP / name).is_dir():
            shutil.copytree(TOP / name, ours.folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
        else:
            shutil.copy(TOP / name, ours.folder / name)
    shown = re.search(
        r"^```yaml\n# file: \.pre-commit-config\.yaml\n(.*?)^```$", PAGE.read_text("utf-8"), re.MULTILINE | re.DOTALL
    )
    assert shown
    text, addresses = re.subn(r"repo: \S+", f"repo: {ours.folder}", shown[1])
    text, revisions = re.subn(r"rev: \S+", f"rev: {ours.commit()}", text)
    assert (addresses, revisions) == (1, 1)
    return text


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    """Where the framework keeps the hook's environment: made once, for all tests."""
    return tmp_path_factory.mktemp("home")


def _run(club, home):
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "GIT_", "COV_"))}
    return subprocess.run(
        [sys.executable, "-m", "pre_commit", "run", "--color=never"], cwd=club.folder, capture_output=True, encoding="utf-8",
        env={**clean, **SETTINGS, **QUIET, "PRE_COMMIT_HOME": str(home)}, check=False, timeout=300,
    )  # fmt: skip


def test_the_hook_holds_back_what_is_over_or_unreadable_and_shows_what_is_open(tmp_path, config, home):
    club = Club(tmp_path / "club")
    club.write(".pre-commit-config.yaml", config)
    club.take("misty-lane-thin.yaml", to="rigs/thin rig.yaml")
    club.write("ci.yaml", "jobs: {}\n")
    club.git("add", "-A")

    open_ = _run(club, home)
    assert open_.returncode == 0, open_.stdout + open_.stderr
    assert "Passed" in open_.stdout
    assert "NOT CHECKED" in open_.stdout, "what is not checked is shown although it passes"

    club.take("alder-creek-fifth-wheel.yaml", to="rigs/größe.yaml")
    club.git("add", "-A")
    over = _run(club, home)
    assert over.returncode == 1
    assert "exit code: 1" in over.stdout
    assert "▲ OVER" in over.stdout

    club.change("rigs/größe.yaml", "gvwr: {value: 10000 lb", "gvwr: {value: 10000")
    club.git("add", "-A")
    broken = _run(club, home)
    assert broken.returncode == 1
    assert "exit code: 4" in broken.stdout
    assert "rigs/größe.yaml:" in broken.stdout and "found the bare number 10000" in broken.stdout

    club.git("rm", "-q", "--cached", "rigs/größe.yaml")
    club.write(".pre-commit-config.yaml", config.replace("id: rigmargin", "id: rigmargin\n        args: []"))
    club.git("add", ".pre-commit-config.yaml")
    strict = _run(club, home)
    assert strict.returncode == 1
    assert "exit code: 3" in strict.stdout
