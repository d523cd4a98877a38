"""What the pages show is what happens."""

import re
import shutil
import tomllib
from pathlib import Path

import pytest
from club_repository import SETTINGS
from docblocks import PAGES, TOP, blocks, matches, play, run


def _id(page):
    return page.relative_to(TOP).as_posix()


@pytest.mark.parametrize("page", [page for page in PAGES if any(block.treatment == "run" for block in blocks(page))], ids=_id)
def test_page_runs_as_shown(page, tmp_path):
    """Every file a page shows is written and every command is run, in a folder that has at most the examples."""
    if "specs_examples" in page.read_text("utf-8"):
        shutil.copytree(TOP / "specs_examples", tmp_path / "specs_examples")
    settings = dict(SETTINGS)
    if page.name in INSTALLED:
        INSTALLED[page.name](page, tmp_path)
        settings["PYTHONPATH"] = str(tmp_path)
    shown = sum(len(re.findall(r"^\$ ", block.text, re.MULTILINE)) for block in blocks(page) if block.language == "console")
    assert play(page, tmp_path, **settings) == shown > 0


def test_every_page_with_commands_is_run():
    assert {"tutorial.md", "README.md", "DEVELOPERS.md", "club-ci.md"} <= {
        page.name for page in PAGES if any(block.treatment == "run" for block in blocks(page))
    }


@pytest.mark.parametrize("page", PAGES, ids=_id)
def test_nothing_on_a_page_is_left_unchecked(page):
    """Each fenced block is written, run, quoted, or of a kind that is listed with what becomes of it."""
    assert [f"line {block.line}: {block.text[:60]!r}" for block in blocks(page) if not block.treatment] == []
    fences = re.findall(r"^ *(?:```|~~~)", page.read_text("utf-8"), re.MULTILINE)
    assert len(fences) == 2 * len(blocks(page))


@pytest.mark.parametrize("page", PAGES, ids=_id)
def test_every_file_a_page_writes_is_used(page):
    words = " ".join(block.text for block in blocks(page) if block.treatment == "run").split()
    unused = {block.file for block in blocks(page) if block.file and not any(_names(word, block.file) for word in words)}
    assert unused == {name for where, name in USED_ELSEWHERE if where == page.name}


def _names(word, file):
    """Whether a word of a command names a file: by its path, by a folder that it is in, or as a Python module."""
    bare = word.strip("'\"();,")
    return file in word or bare == Path(file).stem or bare in map(str, Path(file).parents[:-1])


@pytest.mark.parametrize(
    ("page", "block"),
    [(page, block) for page in PAGES for block in blocks(page) if block.quoted and block.language != "json"],
    ids=lambda part: getattr(part, "name", "line"),
)
def test_what_is_quoted_stands_in_its_file(page, block):
    """Its lines, in that order; what stands between may be left out. JSON is compared by what it says, in test_pages.py."""
    source = iter((TOP / block.quoted).read_text("utf-8").splitlines())
    lines = [line.strip() for line in block.text.splitlines() if line.strip()]
    assert [line for line in lines if not any(line == other.strip() for other in source)] == []


def _install(page, folder):
    """What pip leaves behind for the page's pyproject.toml: a distribution with its entry points, found on the path."""
    _distribution(next(block.text for block in blocks(page) if block.language == "toml"), folder)


def _install_example(page, folder):
    """The same for the example that the page shows, with its module."""
    example = TOP / "docs" / "examples" / "club-rules"
    _distribution((example / "pyproject.toml").read_text("utf-8"), folder)
    shutil.copy(example / "heron_club_rules.py", folder)


def _distribution(text, folder):
    project = tomllib.loads(text)["project"]
    info = folder / f"{project['name'].replace('-', '_')}-{project['version']}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {project['name']}\nVersion: {project['version']}\n", "utf-8")
    groups = project["entry-points"].items()
    lines = [
        line for group, points in groups for line in (f"[{group}]", *(f"{name} = {target}" for name, target in points.items()))
    ]
    (info / "entry_points.txt").write_text("\n".join(lines), "utf-8")


#: Pages whose commands suppose that something was installed.
INSTALLED = {"DEVELOPERS.md": _install, "local-rules.md": _install_example}
#: Files that a page shows and its commands do not name, and where they are used.
USED_ELSEWHERE = {
    ("DEVELOPERS.md", "pyproject.toml"): "installed before the page is run",
    ("DEVELOPERS.md", "club_rules.py"): "what pyproject.toml installs",
    ("club-ci.md", ".pre-commit-config.yaml"): "tests/project/test_pre_commit.py",
}


def test_readme_rig_has_ten_lines():
    block = next(block for block in blocks(TOP / "README.md") if block.file == "first-look.yaml")
    assert block.text.count("\n") == 1 + 10  # the first names the file


SET_UP = "python3 -m venv .venv && .venv/bin/pip install -q "


def test_setup_commands_are_one_line_each():
    setups = [block for page in PAGES for block in blocks(page) if block.mark in ("set up", "test command")]
    assert len(setups) == 3
    extras = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    for block in setups:
        first = "python3 tests/install_system.py && " if block.mark == "test command" else ""
        assert block.text.count("\n") == 1 and block.text.startswith(first + SET_UP)
        assert {extra for names in re.findall(r"'\.\[(.+?)\]'", block.text) for extra in names.split(",")} <= set(extras)


def test_readme_setup_makes_the_report_that_it_names(tmp_path):
    """What the command does once it has its environment."""
    (command,) = [block.text for block in blocks(TOP / "README.md") if block.mark == "set up"]
    assert command.startswith(f"{SET_UP}. && ")
    shutil.copytree(TOP / "specs_examples", tmp_path / "specs_examples")
    assert run(command.removeprefix(f"{SET_UP}. && "), tmp_path).endswith("over\n")
    assert "<title>" in (tmp_path / "report.html").read_text("utf-8")


def test_a_talk_asks_its_first_question_and_can_be_left(tmp_path):
    talks = [block.text for page in PAGES for block in blocks(page) if block.mark == "talk"]
    assert talks
    for text in talks:
        said = run(f"{text.strip()} < /dev/null", tmp_path)
        assert "Section: The rig." in said and "Traceback" not in said


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
