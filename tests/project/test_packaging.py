"""The built wheel is tested, not the tree: it holds every file it should and nothing else, and it works."""

import json
import os
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
MAPPED = {"src/rigmargin": "rigmargin", "rules": "rigmargin/rules", "schemas": "rigmargin/schemas"}
KINDS = {".py", ".txt", ".csv", ".json", ".html", ".css", ".js", ".md", ".yaml", ".typed"}


def _run(*command, cwd):
    # the child's own environment: no path of this checkout may help it
    clean = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    return subprocess.run(command, cwd=cwd, env=clean, capture_output=True, text=True, check=False, timeout=300)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    built = _run(sys.executable, "-m", "build", "--wheel", "--outdir", str(folder), str(TOP), cwd=folder)
    assert built.returncode == 0, built.stdout + built.stderr
    return next(folder.glob("*.whl"))


def test_wheel_holds_every_file_of_the_tree_and_nothing_else(wheel):
    wanted = set()
    for source, target in MAPPED.items():
        for path in (TOP / source).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                assert path.suffix in KINDS, f"{path} is of no kind the wheel ships"
                wanted.add(f"{target}/{path.relative_to(TOP / source).as_posix()}")
    shipped = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert shipped == wanted


@pytest.fixture(scope="module")
def environment(wheel, tmp_path_factory):
    """A fresh environment with the wheel in it; gives the path of its Python."""
    folder = tmp_path_factory.mktemp("env")
    venv.create(folder / "env", with_pip=True)
    python = str(folder / "env" / ("Scripts" if os.name == "nt" else "bin") / "python")
    installed = _run(python, "-m", "pip", "install", "-q", str(wheel), cwd=folder)
    assert installed.returncode == 0, installed.stderr
    return python


def test_installed_wheel_judges_a_rig_in_a_fresh_environment(environment, tmp_path):
    rig = TOP / "specs_examples" / "alder-creek-fifth-wheel.yaml"
    for ending in (".json", ".html", ".md"):
        target = tmp_path / f"report{ending}"
        run = _run(environment, "-m", "rigmargin", "report", str(rig), "--to", str(target), cwd=tmp_path)
        assert run.returncode == 1, run.stderr
        assert target.stat().st_size > 2000
    expected = rig.with_suffix(".expected.json").read_text("utf-8")
    assert json.loads((tmp_path / "report.json").read_text("utf-8")) == json.loads(expected)


def test_example_distribution_installs_and_its_rule_shows_up_in_check(environment, tmp_path):
    shutil.copytree(TOP / "docs" / "examples" / "club-rules", tmp_path / "club-rules")
    rig = str(TOP / "specs_examples" / "linden-caravan.yaml")
    assert "heron/" not in _run(environment, "-m", "rigmargin", "check", rig, cwd=tmp_path).stdout
    pip = (environment, "-m", "pip", "--disable-pip-version-check")
    installed = _run(*pip, "install", "-q", "--no-deps", "./club-rules", cwd=tmp_path)
    assert installed.returncode == 0, installed.stderr
    try:
        run = _run(environment, "-m", "rigmargin", "check", rig, cwd=tmp_path)
        assert run.stderr == ""
        assert "heron/coupling-reserve" in run.stdout
        listed = _run(environment, "-m", "rigmargin", "rules", "heron/coupling-reserve", cwd=tmp_path).stdout
        assert "plugin heron of heron-club-rules 1.0" in listed
        cases = "from rigmargin.testing import run_cases; print(run_cases('club-rules/cases.yaml'))"
        assert _run(environment, "-c", cases, cwd=tmp_path).stdout == "[]\n"
    finally:
        _run(*pip, "uninstall", "-y", "heron-club-rules", cwd=tmp_path)


def test_version_is_the_same_everywhere():
    import tomllib

    import rigmargin

    assert tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]["version"] == rigmargin.__version__
