"""The built wheel is tested, not the tree: it holds every file it should and nothing else, and it works."""

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
MAPPED = {"src/rigmargin": "rigmargin", "rules": "rigmargin/rules", "schemas": "rigmargin/schemas"}
KINDS = {".py", ".txt", ".csv", ".json", ".html", ".css", ".md", ".yaml", ".typed"}


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


def test_installed_wheel_judges_a_rig_in_a_fresh_environment(wheel, tmp_path):
    venv.create(tmp_path / "env", with_pip=True)
    python = tmp_path / "env" / ("Scripts" if os.name == "nt" else "bin") / "python"
    installed = _run(str(python), "-m", "pip", "install", "-q", str(wheel), cwd=tmp_path)
    assert installed.returncode == 0, installed.stderr
    rig = TOP / "specs_examples" / "alder-creek-fifth-wheel.yaml"
    for ending in (".json", ".html", ".md"):
        target = tmp_path / f"report{ending}"
        run = _run(str(python), "-m", "rigmargin", "report", str(rig), "--to", str(target), cwd=tmp_path)
        assert run.returncode == 1, run.stderr
        assert target.stat().st_size > 2000
    expected = rig.with_suffix(".expected.json").read_text("utf-8")
    assert json.loads((tmp_path / "report.json").read_text("utf-8")) == json.loads(expected)


def test_version_is_the_same_everywhere():
    import tomllib

    import rigmargin

    assert tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]["version"] == rigmargin.__version__
