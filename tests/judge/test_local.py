"""Folders of local rules: only those that are named are run, and what a file in one does takes nothing else with it."""

import gc
import os
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest
from rigs import rig

from rigmargin import cli
from rigmargin.judge import apart, local, plugins
from rigmargin.judge.finding import EXIT
from rigmargin.judge.rule import band, rule
from rigmargin.judge.run import judge
from rigmargin.judge.source import Brought, Source

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
HEAD = """\
from rigmargin.judge.rule import at_most, nominal, rule

@rule(
    {id!r}, title="A local rule", each="tow_vehicle", needs={{"load": ".gross", "limit": ".max_mass"}}, basis="A test.",
    quantity="The loaded tow vehicle", limit_name="the club's limit", why="For a test.", example="None.",
)
def check(load, limit):
    '''Something a club checks.'''
"""
RIG = {
    "tow_vehicle": {"gvwr": "10000 lb"},
    "weighings": [{"state": "coupled", "front": "4560 lb", "rear": "4140 lb", "increment": "20 lb"}],
}


def code(body="return at_most(load, limit)", id="club/local", before="", after=""):
    return f"{before}\n{HEAD.format(id=id)}    {body}\n{after}\n"


@pytest.fixture
def folder(tmp_path):
    """A folder called Hill Club with one sound rule; gives a way to put more into it."""
    top = tmp_path / "Hill Club"
    top.mkdir()
    (top / "sound.py").write_text(code(id="club/sound"))

    def put(text, name="odd.py"):
        (top / name).write_text(textwrap.dedent(text))
        return str(top)

    return put


def report(folder, **parts):
    return judge(rig(**RIG | parts), plugins.gather([], [folder]))


def failed(one):
    found = [(f.rule, f.reason) for f in one.findings if f.verdict == "rule_failed"]
    assert found
    assert EXIT[one.overall] == 5
    return found


def within(one):
    return [f.rule for f in one.findings if f.verdict == "within"]


def test_rules_of_a_named_folder_are_used_and_say_where_they_come_from(folder):
    one = report(folder(code()))
    assert within(one) == ["club/local", "club/sound"]
    assert {f.rule: f.source.origin for f in one.findings} == {
        "club/local": "local file Hill Club/odd.py",
        "club/sound": "local file Hill Club/sound.py",
    }


AT_IMPORT = {
    "raises": ("x = 1\nraise RuntimeError('out of tune')\n", "line 2: RuntimeError: out of tune"),
    "is no Python": ("x = 1\ndef def\n", "SyntaxError: invalid syntax (odd.py, line 2)"),
    "exits": ("import sys\nsys.exit(3)\n", "line 2: SystemExit: 3"),
    "exits hard": ("import os\nos._exit(7)\n", "it ended its process (exit code 7) while it was loaded"),
    "dies": ("import os\nos.abort()\n", "it ended its process (exit code -6) while it was loaded"),
    "closes everything": ("import os\nos.closerange(0, 99)\n", "it ended its process"),
    "lies to the reader": ("import os\nfor n in range(3, 20):\n  try: os.write(n, b'x' * 9)\n  except OSError: pass\n", "it "),
    "interrupts": ("raise KeyboardInterrupt\n", "KeyboardInterrupt"),
    "asks": ("input('your name? ')\n", "line 1: EOFError"),
    "loses a rule": (code(id="club/one") + code(), "two functions in it are called check, so that the first is lost"),
    "brings nothing": ("x = 1\n", "it brings no rules: no function in it is marked with @rule"),
    "does not name its needs": (code().replace("load, limit", "load"), "takes ['load'] but needs name ['limit', 'load']"),
}  # fmt: skip


@pytest.mark.parametrize("case", AT_IMPORT)
def test_a_file_that_cannot_be_loaded_is_named_and_takes_nothing_with_it(folder, case, monkeypatch):
    monkeypatch.setattr(apart, "LOAD_LIMIT", 20.0)
    text, words = AT_IMPORT[case]
    one = report(folder(text))
    [(name, reason)] = failed(one)
    assert name == "Hill Club/odd.py"
    assert reason.startswith("local file Hill Club/odd.py could not be loaded (")
    assert words in reason
    assert within(one) == ["club/sound"]


def test_a_file_that_hangs_when_it_is_imported_is_stopped(folder, monkeypatch):
    monkeypatch.setattr(apart, "LOAD_LIMIT", 5.0)
    start = time.monotonic()
    starts_another = "import subprocess, sys; subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(60)'])"
    one = report(folder(f"{starts_another}\nwhile True: pass\n"))
    assert time.monotonic() - start < 30
    assert failed(one) == [
        ("Hill Club/odd.py",
         "local file Hill Club/odd.py could not be loaded (it did not end within 5 s while it was loaded, and was stopped)")
    ]  # fmt: skip
    assert within(one) == ["club/sound"]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("return 1 / 0", "line 10: ZeroDivisionError: division by zero"),
        ("raise SystemExit(0)", "line 10: SystemExit: 0"),
        ("import os; os._exit(0)", "it ended its process (exit code 0); it was not asked again"),
        ("return None", "it answered None, which is not one of the answers a rule may give"),
        ("return type('Mine', (), {})()", "which is not one of the answers a rule may give"),
        ("return at_most(load, type('Mine', (), {})())", "PicklingError"),
        ("return check(load, limit)", "TypeError"),
        ("return at_most(float('nan'), limit)", "it answered load = nan, which is not a finite number"),
        ("return at_most(load, float('inf'))", "it answered high = inf, which is not a finite number"),
        ("return at_most(load, limit, cures=(5,))", "it answered cures = (5,)"),
        ("return at_most(load, limit, notes=('x' * 5_000_000,))", "it was not asked again"),
        (
            "return at_most(load, print)",
            "its answer could not be read (UnpicklingError: builtins.print is no",
        ),
    ],
)
def test_a_rule_that_fails_while_it_judges_is_named_and_the_others_go_on(folder, body, words):
    one = report(folder(code(body)))
    [(name, reason)] = failed(one)
    assert name == "club/local"
    assert "rule club/local (local file Hill Club/odd.py) failed: " in reason
    assert words in reason
    assert within(one) == ["club/sound"]


def test_a_rule_that_hangs_is_stopped_and_not_asked_again_while_its_neighbour_goes_on(folder, monkeypatch):
    monkeypatch.setattr(apart, "ANSWER_LIMIT", 3.0)
    text = code("while True: pass", id="club/a-hangs") + code(id="club/b-answers").replace("def check", "def other")
    ruleset = plugins.gather([], [folder(text)])
    for start in (time.monotonic(), time.monotonic() + 5):
        one = judge(rig(**RIG), ruleset)
        assert failed(one)[0][1].endswith("failed: it did not end within 3 s and was stopped; it was not asked again")
        assert within(one) == ["club/b-answers", "club/sound"]
        assert time.monotonic() - start < 25


@pytest.mark.parametrize("when", ["import", "judging"])
def test_what_a_file_prints_stays_out_of_the_output_and_is_told(folder, tmp_path, when):
    prints = "import os, sys; print('I AM HERE'); sys.stderr.write('AND HERE'); os.system('echo AND HERE TOO')"
    named = folder(code(before=prints) if when == "import" else code(f"{prints}; return at_most(load, limit)"))
    done = subprocess.run(
        [sys.executable, "-m", "rigmargin", "check", "--rules", named, str(EXAMPLES / "quarry-bend-utility.yaml")],
        capture_output=True, text=True, encoding="utf-8", check=False, timeout=60, cwd=tmp_path,
    )  # fmt: skip
    assert "HERE" not in done.stdout
    assert "club/local" in done.stdout
    assert done.stderr.count("Hill Club/odd.py printed, which was kept out of the output") == 1
    assert "I AM HERE" in done.stderr


def test_a_rule_that_prints_without_end_fills_no_disk(folder):
    [(name, reason)] = failed(report(folder(code("while True: print('x' * 9999)"))))
    assert name == "club/local"
    assert "File too large" in reason or "was stopped" in reason


def test_a_rule_apart_finds_what_it_would_find_in_our_own_process(folder):
    body = "return band(load, limit * 0.5, 0.5 * load + 0.4 * limit, notes=(f'at {nominal(limit)}',))"
    text = code(body).replace("import at_most", "import band, at_most")

    @rule(
        "club/local", title="", each="tow_vehicle", needs={"load": ".gross", "limit": ".max_mass"}, basis="", quantity="",
        limit_name="", why="", example="",
    )  # fmt: skip
    def check(load, limit):
        """Something a club checks."""
        return band(load, limit * 0.5, 0.5 * load + 0.4 * limit, notes=(f"at {float(limit.nominal_value)}",))

    limit = {"value": "10000 lb", "source": "owner_estimate", "plus_or_minus": "100 lb"}
    parts = {"tow_vehicle": {"gvwr": limit}}
    ours = judge(rig(**RIG | parts), plugins.collect([Source("here", "here", lambda: Brought((check,)), ours=True)]))
    theirs = report(folder(text), **parts)
    [one], [two] = ([f for f in r.findings if f.rule == "club/local"] for r in (ours, theirs))
    # by hand: 8700 - 0.5 x 8700 - 0.4 x 10000 lb is 350 lb past the upper end, whose 2 u is
    # sqrt((0.5 x 2 x 20/sqrt(12) x sqrt(2))^2 + (0.4 x 100)^2) = 40.8 lb: the load counts once, by half
    assert two.margin == pytest.approx(-350 * 0.45359237)
    assert two.uncertainty == pytest.approx(((8.165**2 + 40**2) ** 0.5) * 0.45359237, rel=1e-3)
    for field in ("verdict", "load", "low", "high", "margin", "uncertainty", "evidence", "doubt", "notes"):
        assert getattr(one, field) == getattr(two, field), field


def test_a_limit_handed_back_is_still_the_line_of_the_file(folder):
    finding = next(f for f in report(folder(code())).findings if f.rule == "club/local")
    assert finding.limit.path == "tow_vehicle.max_mass"
    assert [e.stated.path for e in finding.evidence][-1] == "tow_vehicle.max_mass"


def test_no_process_is_left_when_the_rules_are_let_go(folder):
    ruleset = plugins.gather([], [folder(code())])
    processes = [r.check._outside._process for r in ruleset.rules]
    assert [p.poll() for p in processes] == [None, None]
    del ruleset
    gc.collect()
    assert all(p.poll() is not None for p in processes)


@pytest.mark.parametrize(
    ("id", "words"),
    [
        ("local", "the rule id 'local' of local file Hill Club/odd.py has no prefix: an id from outside is 'name/local'"),
        ("law/local", "begins with 'law/', which only regulations that come with rigmargin do"),
        ("club/sound", "the rule id 'club/sound' is used twice: by local file Hill Club/odd.py, which was used, and by"),
    ],
)
def test_an_id_from_outside_carries_a_prefix_of_its_own(folder, id, words):
    [(name, reason)] = failed(report(folder(code(id=id))))
    assert name == id
    assert words in reason


def test_files_with_an_underscore_can_be_imported_and_are_no_rule_files(folder):
    folder("SHARE = 0.5\n", "_shares.py")
    folder("raise RuntimeError\n", "_broken.py")
    one = report(folder(code("return at_most(load, SHARE * limit)", before="from _shares import SHARE")))
    assert [f.rule for f in one.findings if f.verdict == "over"] == ["club/local"]


def test_a_file_of_the_folder_never_stands_in_for_what_is_installed(folder):
    folder("raise RuntimeError('the wrong one')\n", "_json.py")
    folder(code(id="club/json"), "json.py")
    one = report(folder(code(before="import json, pluggy; assert json.dumps({}) == '{}'")))
    assert within(one) == ["club/json", "club/local", "club/sound"]


def test_a_folder_without_rules_says_so(tmp_path):
    (tmp_path / "empty").mkdir()
    [(name, reason)] = failed(report(str(tmp_path / "empty")))
    assert name == "empty"
    assert "holds no rules: no .py file, and no .yaml file of regulations" in reason


@pytest.mark.parametrize("name", ["nowhere", "file.py"])
def test_what_is_no_folder_is_told_before_anything_is_judged(tmp_path, name, capsys):
    (tmp_path / "file.py").write_text("raise RuntimeError\n")
    assert cli.main(["check", "--rules", str(tmp_path / name), str(EXAMPLES / "quarry-bend-utility.yaml")]) == 4
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "is no folder that can be read" in printed.err


@pytest.mark.parametrize(
    ("name", "prefix"), [("Hill Club", "hill-club"), ("RV_2026 (north)", "rv-2026-north"), ("law", "law"), ("山", "")]
)
def test_the_prefix_of_a_folder_is_its_name_in_plain_words(name, prefix):
    assert local.plain(name) == prefix


REPLACES = 'example="None.", replaces={old!r},'


def replacing(old, **parts):
    return code(**parts).replace('example="None.",', REPLACES.format(old=old))


def test_a_rule_that_replaces_another_by_name_switches_it_off_and_says_so(folder):
    folder(code(id="club/old"), "old.py")
    named = folder(replacing("club/old", id="club/new"), "new.py")
    one = report(named)
    assert within(one) == ["club/new", "club/sound"]
    [note] = [f for f in one.findings if f.rule == "club/old"]
    assert note.verdict == "note"
    assert note.reason == "not run: club/new (local file Hill Club/new.py) stands in its place"


def test_what_replaces_is_printed_by_rules(folder, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    folder(code(id="club/old"), "old.py")
    named = folder(replacing("club/old", id="club/new"), "new.py")
    assert cli.main(["rules", "--rules", named]) == 0
    text = " ".join(capsys.readouterr().out.split())
    line = "club/new (local file Hill Club/new.py) replaces club/old (local file Hill Club/old.py), which is not run"
    assert line in text
    assert "(replaces club/old)" in text
    for id in ("club/old", "club/new"):
        assert cli.main(["rules", "--rules", named, id]) == 0
        assert line in capsys.readouterr().out


@pytest.mark.parametrize(
    ("old", "words"),
    [
        ("club/none", "which is no rule on file"),
        ("axle-load", "only a regulation, or a rule with a prefix, can be replaced"),
        ("club/local", "which itself replaces another"),
    ],
)
def test_a_replacement_that_cannot_be_is_told_and_nothing_is_switched_off(folder, old, words):
    ours = next(point for point in plugins.installed() if point.name == "core")
    ruleset = plugins.gather([ours], [folder(replacing(old))])
    [failure] = ruleset.failures
    assert failure.name == "club/local"
    assert words in failure.reason
    assert ruleset.replaced == ()
    assert {"axle-load", "club/local", "club/sound"} <= {r.id for r in ruleset.rules}


MARKED = "open({mark!r}, 'a').write('run')\n"


@pytest.mark.parametrize("started", ["module", "command"])
def test_a_python_file_beside_a_rig_is_never_imported(folder, tmp_path, started):
    """Neither by its own name, nor in place of what rigmargin and its rules import, nor when another folder is named."""
    mark, beside = tmp_path / "mark", tmp_path / "rigs"
    beside.mkdir()
    names = (
        "evil",
        "yaml",
        "json",
        "rich",
        "jinja2",
        "pluggy",
        "jsonschema",
        "conftest",
        "sitecustomize",
        "rules",
    )
    for name in names:
        (beside / f"{name}.py").write_text(MARKED.format(mark=str(mark)))
    (beside / "rig.yaml").write_text((EXAMPLES / "quarry-bend-utility.yaml").read_text("utf-8"), "utf-8")
    command = [sys.executable, "-m", "rigmargin"] if started == "module" else [str(Path(sys.executable).parent / "rigmargin")]
    clean = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    for more in ([], ["--rules", folder(code())]):
        for verb in (["check", "rig.yaml"], ["report", "rig.yaml", "--to", "out.html"], ["headroom", "rig.yaml"]):
            done = subprocess.run(
                [*command, *verb, *more], cwd=beside, env=clean, capture_output=True, text=True, check=False, timeout=60
            )
            assert done.returncode == 0, done.stderr
    assert not mark.exists()
    done = subprocess.run(
        [*command, "check", "rig.yaml", "--rules", "."], cwd=beside, env=clean, capture_output=True, text=True, check=False,
        timeout=120,
    )  # fmt: skip
    assert mark.exists(), "named, it is run: the marks work"


def test_every_door_gives_the_same_kind_of_rule(folder):
    found = plugins.gather(plugins.installed(), [folder(code())]).rules
    assert len({type(r) for r in found}) == 1
    assert {"axle-load", "club/local"} <= {r.id for r in found}
    assert all(r.origin and r.what for r in found)
