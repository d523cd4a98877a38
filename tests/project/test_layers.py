"""Who may import whom."""

import ast
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
SOURCES = sorted((TOP / "src" / "rigmargin").rglob("*.py"))
RULES = sorted((TOP / "rules").rglob("*.py"))
#: Each layer and the layers of rigmargin it may use.
ALLOWED = {
    "spec": {"spec"},
    "loads": {"spec", "loads"},
    "judge": {"spec", "loads", "judge"},
    "advice": {"spec", "loads", "judge", "advice"},
    "report": {"spec", "loads", "judge", "advice", "report"},
    "club": {"spec", "loads", "judge", "advice", "report", "club"},
    "start": {"spec", "loads", "judge", "advice", "report", "start"},
}


def _imports(path):
    """The modules a file imports; a relative import is resolved against its package."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                yield "." * node.level + (node.module or "")
            else:
                yield node.module
                yield from (f"{node.module}.{alias.name}" for alias in node.names if node.module == "rigmargin")


def _layer(name):
    parts = name.split(".")
    return parts[1] if parts[0] == "rigmargin" and len(parts) > 1 and parts[1] in ALLOWED else None


def test_there_is_something_to_test():
    assert len(SOURCES) > 20
    assert len(RULES) > 5


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: p.relative_to(TOP).as_posix())
def test_layers_import_only_what_lies_below(path):
    own = _layer("rigmargin." + path.relative_to(TOP / "src" / "rigmargin").as_posix().replace("/", "."))
    names = set(_imports(path))
    assert not any(name.split(".")[0] in ("rules", "schemas") or name.startswith("rigmargin.rules") for name in names)
    if own:
        assert {_layer(name) for name in names if _layer(name)} <= ALLOWED[own]
        assert not any(name.startswith(("rigmargin.cli", "rigmargin.commands", "rigmargin.testing")) for name in names)


@pytest.mark.parametrize("path", RULES, ids=lambda p: p.name)
def test_rules_import_the_rule_module_and_nothing_else_of_the_engine(path):
    names = {name for name in _imports(path) if name.startswith(("rigmargin", "rules", "schemas"))}
    assert names <= {"rigmargin.judge.rule"}


def test_a_library_that_does_one_thing_is_imported_in_one_place():
    names = ("uncertainties", "pint", "jsonschema", "jsonschema_rs", "distributed", "filelock", "click")
    users = {name: {p.name for p in SOURCES if name in {i.split(".")[0] for i in _imports(p)}} for name in names}
    assert users == {
        "uncertainties": set(),  # the tests hold our own linear form to it
        "pint": set(),  # the factors it makes are kept: only tests/generate.py needs it
        "jsonschema": {"validate.py"},
        "jsonschema_rs": {"gate.py"},
        "distributed": {"executors.py"},
        "filelock": {"output.py"},
        "click": {"asking.py"},
    }


def test_the_linear_form_knows_nothing_of_rigs():
    names = set(_imports(TOP / "src" / "rigmargin" / "loads" / "linear.py"))
    assert not any(name.startswith("rigmargin") for name in names)
