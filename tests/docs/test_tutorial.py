"""What the README, the tutorial and the contributor's guide show is what happens."""

import re
import shutil
import tomllib

import pytest
from club_repository import SETTINGS
from docblocks import TOP, blocks, matches, play

from rigmargin.cli import main


def test_tutorial_runs_as_shown(tmp_path):
    assert play(TOP / "docs" / "tutorial.md", tmp_path) == 6


def test_readme_rig_runs_as_shown_and_has_ten_lines(tmp_path, capsys):
    assert play(TOP / "README.md", tmp_path) == 1
    text = (tmp_path / "first-look.yaml").read_text("utf-8")
    assert len(text.splitlines()) == 10
    assert main(["check", str(tmp_path / "first-look.yaml")]) == 3
    assert "rear axle" in capsys.readouterr().out


def test_how_tos_run_as_shown(tmp_path):
    shutil.copytree(TOP / "specs_examples", tmp_path / "specs_examples")
    assert play(TOP / "docs" / "start.md", tmp_path) == 4
    assert play(TOP / "docs" / "club.md", tmp_path) == 1
    assert play(TOP / "docs" / "headroom.md", tmp_path) == 1
    assert play(TOP / "docs" / "scale.md", tmp_path) == 1
    assert play(TOP / "docs" / "weigh-day.md", tmp_path) == 6
    assert play(TOP / "docs" / "shopping.md", tmp_path) == 2
    assert play(TOP / "docs" / "compare.md", tmp_path) == 2
    assert play(TOP / "docs" / "suspension.md", tmp_path) == 2
    assert play(TOP / "docs" / "loading-plan.md", tmp_path) == 2


def test_a_club_in_git_runs_as_shown(tmp_path):
    assert play(TOP / "docs" / "club-ci.md", tmp_path, **SETTINGS) == 9


def test_settings_run_as_shown(tmp_path):
    assert play(TOP / "docs" / "settings.md", tmp_path) == 3


def test_three_doors_run_as_shown(tmp_path):
    assert play(TOP / "docs" / "local-rules.md", tmp_path) == 5


def _install(page, folder):
    """What pip leaves behind for the page's pyproject.toml: a distribution with its entry points, found on the path."""
    project = tomllib.loads(next(block.text for block in blocks(page) if block.language == "toml"))["project"]
    info = folder / f"{project['name'].replace('-', '_')}-{project['version']}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {project['name']}\nVersion: {project['version']}\n", "utf-8")
    groups = project["entry-points"].items()
    lines = [
        line for group, points in groups for line in (f"[{group}]", *(f"{name} = {target}" for name, target in points.items()))
    ]
    (info / "entry_points.txt").write_text("\n".join(lines), "utf-8")


def test_developers_guide_runs_as_shown(tmp_path):
    _install(TOP / "DEVELOPERS.md", tmp_path)
    assert play(TOP / "DEVELOPERS.md", tmp_path, PYTHONPATH=str(tmp_path)) == 6


def test_readme_setup_commands_are_one_line_each():
    setups = [block.text for block in blocks(TOP / "README.md") if block.language == "sh"]
    assert len(setups) == 2
    assert all(text.count("\n") == 1 and text.startswith("python3 -m venv .venv && ") for text in setups)
    assert "report specs_examples/alder-creek-fifth-wheel.yaml --to report.html" in setups[0]


def test_readme_test_command_stands_between_its_markers():
    readme = (TOP / "README.md").read_text("utf-8")
    between = re.search(r"<!-- test command -->\n```sh\n(.+)\n```\n<!-- /test command -->\n", readme)
    assert between
    assert all(gate in between[1] for gate in ("ruff check .", "ruff format --check .", "mypy", "pytest -q"))


@pytest.mark.parametrize(
    ("expected", "got", "same"),
    [
        ("a b\n", "a    b  \n", True),
        ("a\n...\nz\n", "a\nmany\nlines\nz\n", True),
        ("a ... z\n", "a z\n", True),
        ("a\n", "a\nmore\n", False),
        ("a ... b\n", "b then a\n", False),
        ("60 lb\n", "160 lb\n", False),
        ("... 60 lb\n", "over by 160 lb\n", False),
        ("over by 6 ...\n", "over by 60 lb\n", False),
    ],
)
def test_comparison_of_shown_and_printed_output(expected, got, same):
    assert matches(expected, got) is same
