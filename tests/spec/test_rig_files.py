"""A rig file is told from other YAML by its text, broken or not."""

import json
from pathlib import Path

import pytest

from rigmargin.spec.rig_files import looks_like_a_rig, named_like_a_rig

TOP = Path(__file__).parents[2]
EXAMPLES = sorted((TOP / "specs_examples").glob("*.yaml"))
BROKEN = sorted((TOP / "specs_examples" / "broken").glob("*.yaml"))
OTHERS = sorted([*(TOP / "rules" / "regulations").glob("*.yaml"), *(TOP / "tests" / "rules").glob("*.yaml")])


@pytest.mark.parametrize("path", EXAMPLES + BROKEN, ids=lambda p: p.stem)
def test_every_example_is_a_rig_however_broken(path):
    assert looks_like_a_rig(path.read_bytes())


def test_regulations_and_cases_are_none():
    assert len(OTHERS) > 100
    assert [path.name for path in OTHERS if looks_like_a_rig(path.read_bytes())] == []


@pytest.mark.parametrize(
    "text",
    [
        "rig: 1\nname: x\n",
        "\ufeffrig: 1\n",
        "# a comment\n\n%YAML 1.2\n---\nname: x\nrig: 1\n",
        "name: x\r\nrig: 1\r\n",
        "  name: x\n  rig: 1\n",
        "'rig': 1\n",
        '"rig" : 1\n',
        '{"rig": 1, "name": "x"}',
        "{name: x, rig: 1}\n",
        "rig:\n",
        "rig: 1\nname: [\n",
        "rig: 1\n\tname: x\n",
        json.dumps({"name": "x", "rig": 1}, indent=1),
        b"name: \xff\nrig: 1\n",
        '"r\\x69g": 1\n',
        "? rig\n: 1\n",
        "  rig: 1\nname: x\n",  # its first line moved by mistake
        "rig: 1\n".encode("utf-16"),
        b"\0" * 40,
        "",
        "\n",
        "# rig: 1\n",
    ],
)
def test_rig_at_the_top_is_a_rig(text):
    assert looks_like_a_rig(text)


@pytest.mark.parametrize(
    "text",
    [
        "regulations: 1\nrules: {}\n",
        "cases:\n  rig: 1\n",
        "note: |\n  rig: 1\n",
        "rigs: 1\n",
        "- rig\n",
        "big rig: 1\n",
    ],
)
def test_anything_else_is_none(text):
    assert not looks_like_a_rig(text)


def test_names():
    assert [name for name in ("a.yaml", "b.YML", "c.yaml.txt", "yaml", "d.json") if named_like_a_rig(name)] == [
        "a.yaml",
        "b.YML",
    ]
