"""The commands as a person runs them: what is printed where, and the exit code."""

import json
import os
import shlex
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from rigmargin import cli
from rigmargin.report import words, write

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
OVER, WITHIN, THIN = (EXAMPLES / f"{n}.yaml" for n in ("alder-creek-fifth-wheel", "quarry-bend-utility", "misty-lane-thin"))


def _run(*arguments, **environment):
    clean = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "NO_COLOR", "FORCE_COLOR")}
    return subprocess.run(
        [sys.executable, "-m", "rigmargin", *map(str, arguments)],
        env={**clean, **environment}, capture_output=True, text=True, check=False, timeout=60, encoding="utf-8",
    )  # fmt: skip


@pytest.mark.parametrize(("file", "code"), [(OVER, 1), (WITHIN, 0), (THIN, 3)], ids=["over", "within", "thin"])
def test_check_gives_the_exit_code_of_the_worst_verdict(file, code, capsys):
    assert cli.main(["check", str(file)]) == code
    assert capsys.readouterr().err == ""


def test_check_of_several_files_gives_the_worst_and_judges_them_all(tmp_path, capsys):
    missing = tmp_path / "missing.yaml"
    assert cli.main(["check", str(THIN), str(WITHIN)]) == 3
    assert cli.main(["check", str(WITHIN), str(OVER), str(THIN)]) == 1
    capsys.readouterr()
    assert cli.main(["check", str(missing), str(WITHIN)]) == 4
    printed = capsys.readouterr()
    assert "Quarry Bend" in printed.out
    assert "no readable file" in printed.err


def test_check_fits_eighty_columns_and_needs_no_colour():
    printed = _run("check", OVER, COLUMNS="80")
    assert printed.returncode == 1
    assert printed.stderr == ""
    assert "\x1b" not in printed.stdout
    assert max(map(len, printed.stdout.splitlines())) <= 80
    for word in ("OVER", "payload", "tow-vehicle-gross", "-480 lb", "Take 497 lb off the tow vehicle"):
        assert word in " ".join(printed.stdout.split())


def test_check_in_both_units_shows_each():
    text = " ".join(_run("check", OVER, "--units", "both", COLUMNS="100").stdout.split())
    assert "10480 lb" in text
    assert "(4754 kg)" in text


def test_check_works_where_the_terminal_knows_only_ascii():
    printed = _run("check", OVER, PYTHONIOENCODING="ascii")
    assert printed.returncode == 1
    assert "over" in printed.stdout
    assert "Traceback" not in printed.stderr


def test_unreadable_file_lists_every_problem_on_stderr(tmp_path, capsys):
    broken = tmp_path / "broken.yaml"
    broken.write_text("rig: 1\nname: x\ntow_vehicle: {gvwr: 9900}\ncoupling: {kind: ball}\ntrailer: {}\n", "utf-8")
    assert cli.main(["check", str(broken)]) == 4
    printed = capsys.readouterr()
    assert printed.out == ""
    assert f"{broken}:3:21: tow_vehicle.gvwr: found the bare number 9900" in printed.err
    assert "coupling.kind: found 'ball'" in printed.err
    assert "2 problems" in printed.err


@pytest.mark.parametrize("ending", sorted(write.FORMATS))
def test_report_writes_each_format(ending, tmp_path, capsys):
    target = tmp_path / f"report{ending}"
    assert cli.main(["report", str(OVER), "--to", str(target)]) == 1
    assert capsys.readouterr().out == f"{target}: ▲ over\n"
    text = target.read_text("utf-8")
    assert "Alder Creek fifth wheel" in text
    assert ending != ".json" or json.loads(text)["overall"] == "over"


def test_report_of_unknown_ending_writes_nothing(tmp_path, capsys):
    assert cli.main(["report", str(OVER), "--to", str(tmp_path / "report.doc")]) == 2
    assert ".html" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_report_that_cannot_be_written_says_so(tmp_path, capsys):
    assert cli.main(["report", str(OVER), "--to", str(tmp_path / "no" / "such" / "r.html")]) == 4
    assert "could not be written: No such file or directory" in capsys.readouterr().err


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    target = tmp_path / "r.md"
    target.write_text("old", "utf-8")

    def fail(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OSError, match="No space left"):
        write.whole(target, "new")
    assert target.read_text("utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["r.md"]


def test_a_written_file_has_ordinary_permissions(tmp_path):
    target = tmp_path / "r.md"
    write.whole(target, "text")
    umask = os.umask(0)
    os.umask(umask)
    assert stat.S_IMODE(target.stat().st_mode) == 0o666 & ~umask


def test_wrong_command_line_is_exit_code_two():
    for arguments in ((), ("chek", OVER), ("check",), ("report", OVER), ("check", OVER, "--units", "stone")):
        run = _run(*arguments)
        assert run.returncode == 2, arguments
        assert "usage:" in run.stderr


def test_rules_lists_every_rule_and_shows_one_in_full(capsys):
    assert cli.main(["rules"]) == 0
    assert "axle-load" in capsys.readouterr().out
    assert cli.main(["rules", "axle-load"]) == 0
    shown = capsys.readouterr().out
    for heading in ("What it checks", "Why it matters", "Needs", "Basis", "Example", "When it does not apply", "Comes from"):
        assert heading in shown


def test_unknown_rule_is_answered_with_the_nearest(capsys):
    assert cli.main(["rules", "axle-laod"]) == 2
    assert "did you mean 'axle-load'?" in capsys.readouterr().err


def test_version():
    from rigmargin import __version__

    assert _run("--version").stdout == f"rigmargin {__version__}\n"


def test_reader_that_goes_away_is_no_error():
    command = f'"{sys.executable}" -m rigmargin rules | head -1'
    run = subprocess.run(command, shell=True, capture_output=True, text=True, check=False, timeout=60)
    assert run.stderr == ""


@pytest.mark.parametrize(
    ("arguments", "code"),
    [(["rules"], 0), (["check", OVER], 1), (["check", OVER, "--accept-open"], 1), (["headroom", OVER], 1), (["settings"], 0)],
)
def test_the_exit_code_is_that_of_the_answer_though_nobody_reads_it(arguments, code):
    """A pipe whose other end was closed before anything was written."""
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "rigmargin", *map(str, arguments)]
    run = subprocess.run(command, stdout=writer, stderr=subprocess.PIPE, text=True, check=False, timeout=60)
    os.close(writer)
    assert (run.returncode, run.stderr) == (code, "")


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_the_exit_code_is_that_of_the_answer_though_there_is_no_output_at_all(closed):
    command = f"{shlex.quote(sys.executable)} -m rigmargin check {shlex.quote(str(OVER))} {closed}"
    run = subprocess.run(command, shell=True, capture_output=True, text=True, check=False, timeout=60)
    assert (run.returncode, run.stderr) == (1, "")


def test_every_verdict_has_its_own_word_and_mark():
    marks = [mark for _, mark in words.VERDICT_WORDS.values()]
    names = [word for word, _ in words.VERDICT_WORDS.values()]
    assert len(set(marks)) == len(marks)
    assert len(set(names)) == len(names)


def test_cold_commands_import_only_what_they_need():
    code = "import sys; from rigmargin.cli import main\ntry: main(['--version'])\nexcept SystemExit: pass\n"
    probe = code + "print([m for m in ('pint', 'jinja2', 'jsonschema', 'rich', 'yaml') if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]"
    probe = f"import sys; from rigmargin.cli import main; main(['check', {str(OVER)!r}])\n"
    probe += "print([m for m in ('pint', 'jinja2', 'jsonschema') if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]"


CEDAR = EXAMPLES / "cedar-pass-bigger-truck.yaml"


def test_compare_prints_writes_and_says_whether_some_option_clears_it(tmp_path, capsys):
    assert cli.main(["compare", str(CEDAR)]) == 0
    assert "The cheapest that clears what is passed today: E (another truck)" in " ".join(capsys.readouterr().out.split())
    for ending in (".html", ".md", ".json"):
        assert cli.main(["compare", str(CEDAR), "--to", str(tmp_path / f"c{ending}")]) == 0
        assert (tmp_path / f"c{ending}").stat().st_size > 1000
    assert cli.main(["compare", str(CEDAR), "--to", str(tmp_path / "c.pdf")]) == 2
    assert cli.main(["compare", str(tmp_path / "none.yaml")]) == 4
    assert cli.main(["compare", str(OVER)]) == 1, "it is over, and no option clears it"
    assert cli.main(["compare", str(WITHIN)]) == 0


@pytest.mark.parametrize("number", ["0", "-1", "two", "1.5"])
def test_compare_takes_a_whole_number_of_options(number, capsys):
    with pytest.raises(SystemExit) as stopped:
        cli.main(["compare", str(CEDAR), "--together", number])
    assert stopped.value.code == 2
    assert f"expected a whole number from 1, found '{number}'" in capsys.readouterr().err


def test_compare_tells_every_problem_of_an_option(tmp_path, capsys):
    path = tmp_path / "broken.yaml"
    path.write_text(CEDAR.read_text("utf-8").replace("{generator: {at: garage}}", "{generater: {at: garage}}"), "utf-8")
    assert cli.main(["compare", str(path)]) == 4
    said = capsys.readouterr().err
    assert "a change of 'generater', which is not there" in said
    assert "cedar-pass-other-truck.yaml', which is no file" in said
    assert "was not compared: 2 problems" in said


def test_check_can_pass_over_what_is_no_rig_and_accept_what_is_open(tmp_path, capsys):
    other = tmp_path / "ci.yaml"
    other.write_text("jobs: {}\n", "utf-8")
    assert cli.main(["check", str(other), str(WITHIN)]) == 4
    capsys.readouterr()
    assert cli.main(["check", "--rigs-only", str(other), str(WITHIN)]) == 0
    printed = capsys.readouterr()
    assert "Quarry Bend" in printed.out and printed.err == ""
    assert cli.main(["check", "--rigs-only", str(other)]) == 0
    assert capsys.readouterr().out == ""
    assert cli.main(["check", "--rigs-only", str(tmp_path / "missing.yaml")]) == 4
    assert cli.main(["check", str(THIN)]) == 3
    assert cli.main(["check", "--accept-open", str(THIN)]) == 0
    assert "not checked" in capsys.readouterr().out, "what is accepted is still printed"
    assert cli.main(["check", "--accept-open", str(THIN), str(OVER)]) == 1
