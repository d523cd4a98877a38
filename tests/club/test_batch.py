"""A folder of rigs judged: the same whatever the workers, again only what changed, and a row for whatever goes wrong."""

import csv
import io
import json
import os
import shutil
from concurrent.futures import ThreadPoolExecutor

import jsonschema
import pytest
from club.rigs import EXAMPLES, contents, folder, small
from rigs import COMPUTED
from spec.test_regulation import GOOD

from rigmargin import cli
from rigmargin.club import batch, executors, one, row
from rigmargin.club.one import Job
from rigmargin.judge import plugins
from rigmargin.judge.finding import VERDICTS
from rigmargin.judge.run import judge
from rigmargin.spec import schema
from rigmargin.spec.rig import load


def _run(top, out, workers=1, reports="json", *more):
    return cli.main(["club", str(top), "--out", str(out), "--workers", str(workers), "--reports", reports, *more])


def _rows(out):
    return [json.loads(line) for line in (out / "rows.jsonl").read_text("utf-8").splitlines()]


def _findings(out):
    return list(csv.DictReader(io.StringIO((out / "findings.csv").read_bytes().decode())))


def test_every_rig_has_a_report_a_row_and_its_findings(tmp_path, capsys):
    out = tmp_path / "out"
    assert _run(folder(tmp_path / "rigs", 5, over={3}), out) == 1
    rows = _rows(out)
    assert [r["file"] for r in rows] == sorted(r["file"] for r in rows)
    assert {r["name"]: r["overall"] for r in rows} == {f"Rig {i}": "over" if i == 3 else "not_checked" for i in range(5)}
    for found in rows:
        report = judge(load(tmp_path / "rigs" / found["file"]))
        assert json.loads((out / found["pages"][0][0]).read_text("utf-8"))["overall"] == report.overall == found["overall"]
        assert found["binds"] == report.tightest.rule
        lines = [line for line in _findings(out) if line["file"] == found["file"]]
        assert [line["verdict"] for line in lines] == [f.verdict for f in report.findings if f.verdict != "not_applicable"]
    assert "▲ 1 over · ? 4 not checked" in capsys.readouterr().out


def test_a_sheet_is_made_for_a_rig_that_was_never_weighed_though_no_act_is_open(tmp_path, monkeypatch):
    for place in ("advice.learn", "advice.to_weigh", "report.sheet"):
        monkeypatch.setattr(f"rigmargin.{place}.learn", lambda report: ())
    weighed = (EXAMPLES / "alder-creek-fifth-wheel.yaml").read_text("utf-8")
    never = json.dumps({"rig": 1, "name": "never", **COMPUTED})
    job = Job(str(tmp_path), (), True, "rig", False, ())
    done = one.several(job, [one.Task(f"{i}.yaml", f"{i}", raw.encode()) for i, raw in enumerate((weighed, never))])
    assert [[kind for kind, _ in each.pages] for each in done] == [[], ["sheet"]]


def test_a_rig_says_the_same_alone_and_in_a_batch(tmp_path):
    out = tmp_path / "out"
    _run(EXAMPLES, out, 1, "html,md,json")
    names = [p.name for p in EXAMPLES.glob("*.yaml")]
    assert len(names) > 10
    for name in names:
        alone = tmp_path / "alone.json"
        cli.main(["report", str(EXAMPLES / name), "--to", str(alone)])
        assert (out / "rigs" / f"{name}.json").read_bytes() == alone.read_bytes()
        assert {f"rigs/{name}{ending}" for ending in (".html", ".md", ".json")} <= set(contents(out))


def test_output_does_not_depend_on_workers_nor_on_the_order_of_the_files(tmp_path, monkeypatch):
    top = folder(tmp_path / "rigs", 120, over={3, 50})
    (top / "bad.yaml").write_text("rig: 1\nname: [\n", "utf-8")
    outs = [tmp_path / f"out{n}" for n in (1, 2, 3)]
    _run(top, outs[0], 1, "html,json")
    _run(top, outs[1], 3, "html,json")
    walk = os.walk
    monkeypatch.setattr(os, "walk", lambda *a, **k: reversed([(h, d, f[::-1]) for h, d, f in walk(*a, **k)]))
    _run(top, outs[2], 2, "html,json")
    assert contents(outs[0]) == contents(outs[1]) == contents(outs[2])
    assert len(contents(outs[0])) == 120 * 2 + 5


def test_any_executor_of_the_standard_kind_will_do(tmp_path):
    top = folder(tmp_path / "rigs", 60)
    job = Job(str(top), (".json",), False, "rig", False, ())
    for name, site in {"pool": executors.local(2), "threads": executors.Site(lambda _: ThreadPoolExecutor(2), 2)}.items():
        assert batch.run(job, tmp_path / name, site).judged == 60
    assert contents(tmp_path / "pool") == contents(tmp_path / "threads")


def test_only_what_changed_is_judged_again(tmp_path, capsys):
    top, out = folder(tmp_path / "rigs", 6), tmp_path / "out"
    job = Job(str(top), (".json",), False, "rig", False, ())

    def judged():
        return batch.run(job, out, executors.local(1)).judged

    assert judged() == 6
    before = contents(out)
    assert judged() == 0
    assert contents(out) == before
    (top / "0" / "rig-0000.yaml").write_text(small("Rig 0", 3900), "utf-8")
    assert judged() == 1
    assert _rows(out)[0]["overall"] == "over"
    (top / "0" / "rig-0000.yaml").unlink()
    assert judged() == 0
    assert len(_rows(out)) == 5
    (top / "new.yaml").write_text(small("New"), "utf-8")
    assert judged() == 1
    again = contents(out)
    assert batch.run(job, out, executors.local(1), fresh=True).judged == 6
    assert contents(out) == again


def test_a_report_that_is_gone_is_made_again(tmp_path):
    top, out = folder(tmp_path / "rigs", 3), tmp_path / "out"
    _run(top, out)
    before = contents(out)
    (out / "rigs" / "1" / "rig-0001.yaml.json").unlink()
    _run(top, out)
    assert contents(out) == before


def test_a_rig_is_judged_again_when_the_rules_or_what_is_asked_for_change(tmp_path):
    top, out, rules = folder(tmp_path / "rigs", 2), tmp_path / "out", tmp_path / "rules"
    rules.mkdir()
    (rules / "us-wy.yaml").write_text(GOOD, "utf-8")
    job = Job(str(top), (".json",), False, "rig", False, (str(rules),))
    assert batch.run(job, out, executors.local(1)).judged == 2
    assert batch.run(job, out, executors.local(1)).judged == 0
    (rules / "us-wy.yaml").write_text(f"{GOOD}# a remark\n", "utf-8")
    plugins.load.cache_clear()
    assert batch.run(job, out, executors.local(1)).judged == 2
    assert batch.run(Job(str(top), (".json",), False, "metric", False, (str(rules),)), out, executors.local(1)).judged == 2


def test_a_rig_whose_option_takes_a_part_from_another_file_changes_with_that_file(tmp_path):
    top, out = tmp_path / "rigs", tmp_path / "out"
    top.mkdir()
    for name in ("cedar-pass-other-truck", "cedar-pass-bigger-truck"):
        shutil.copy(EXAMPLES / f"{name}.yaml", top)
    assert "from cedar-pass-other-truck.yaml" in (top / "cedar-pass-bigger-truck.yaml").read_text("utf-8")
    job = Job(str(top), (".json",), False, "rig", False, ())
    assert batch.run(job, out, executors.local(1)).judged == 2
    other = top / "cedar-pass-other-truck.yaml"
    other.write_text(other.read_text("utf-8") + "# a remark\n", "utf-8")
    assert batch.run(job, out, executors.local(1)).judged == 2


def test_owners_are_named_only_when_asked_for(tmp_path):
    top, out = folder(tmp_path / "rigs", 2), tmp_path / "out"
    _run(top, out, 1, "html,md,json")
    assert not [name for name, raw in contents(out).items() if b"member" in raw]
    _run(top, out, 1, "html,md,json", "--with-owners")
    naming = {name for name, raw in contents(out).items() if b"member 1" in raw}
    assert {"index.html", "index.md", "findings.csv", "rows.jsonl", "rigs/1/rig-0001.yaml.html"} <= naming


def test_the_summary_keeps_its_schema_and_counts_what_the_rows_say(tmp_path):
    top, out = folder(tmp_path / "rigs", 7, over={1, 2}), tmp_path / "out"
    (top / "notes.yaml").write_text("meeting: friday\n", "utf-8")
    (top / "bad.yaml").write_text("rig: 1\nname: 3\n", "utf-8")
    _run(top, out)
    summary = json.loads((out / "summary.json").read_text("utf-8"))
    jsonschema.validate(summary, schema.load("club.schema.json"))
    rows = _rows(out)
    assert summary["rigs"] == len(rows) == 8
    assert summary["overall"] == {"unreadable": 1, "over": 2, "not_checked": 5}
    assert summary["passed_over"] == ["notes.yaml"]
    lines = [line for line in _findings(out) if line["verdict"] not in ("note", "unreadable")]
    counted = {}
    for line in lines:
        counted.setdefault(line["rule"], {}).setdefault(line["verdict"], 0)
        counted[line["rule"]][line["verdict"]] += 1
    assert summary["limits"] == counted
    assert summary["weigh_day"][0]["rigs"] == 7
    assert sum(summary["binds"].values()) == 7


def test_worst_comes_first_and_of_one_verdict_the_least_margin(tmp_path):
    top, out = tmp_path / "rigs", tmp_path / "out"
    top.mkdir()
    for name, rear in (("a", 3700), ("b", 3900), ("c", 4100), ("d", 3600)):
        (top / f"{name}.yaml").write_text(small(name, rear), "utf-8")
    (top / "e.yaml").write_text("rig: 1\n", "utf-8")
    assert _run(top, out, 1, "html") == 4
    text = (out / "index.md").read_text("utf-8")
    places = [text.index(f" {name} (") for name in "cbda"]  # d lies outside a band
    assert text.index("e.yaml |") < places[0]
    assert places == sorted(places)


ODD = {
    "line\nbreak": "rigs/line%0Abreak.yaml.json",
    "a<b>&'\"": "rigs/a%3Cb%3E&'%22.yaml.json",
    "|x|": "rigs/%7Cx%7C.yaml.json",
}


def test_odd_names_are_shown_and_escaped_and_their_pages_have_plain_ones(tmp_path):
    top, out = tmp_path / "rigs", tmp_path / "out"
    top.mkdir()
    for name in ODD:
        (top / f"{name}.yaml").write_text(small("One <script>alert(1)</script> | x"), "utf-8")
    os.rename(os.fsencode(top) + b"/" + b"|x|.yaml", os.fsencode(top) + b"/\xff.yaml")
    assert _run(top, out, 1, "json,html") == 3
    pages = {page for found in _rows(out) for page, _ in found["pages"]}
    assert {"rigs/line%0Abreak.yaml.json", "rigs/a%3Cb%3E&'%22.yaml.html", "rigs/%FF.yaml.json"} <= pages
    assert all((out / page).is_file() for page in pages)
    html, markdown = ((out / f"index.{ending}").read_text("utf-8") for ending in ("html", "md"))
    assert "<script>alert" not in html + markdown
    assert "a<b>" not in html
    assert "line\\nbreak.yaml" in html
    assert "\\xff.yaml" in html
    assert 'href="rigs/line%250Abreak.yaml.html"' in html
    table = markdown.split("## Rigs, worst first")[1].split("##")[0].strip().splitlines()
    assert len(table) == 2 + 3


def test_a_cell_that_a_spreadsheet_would_run_is_text(tmp_path):
    top, out = tmp_path / "rigs", tmp_path / "out"
    top.mkdir()
    (top / "=1+1.yaml").write_text(small('"=HYPERLINK(1)"', 3900), "utf-8")
    _run(top, out)
    line = _findings(out)[0]
    assert (line["file"], line["rig"]) == ("'=1+1.yaml", "'=HYPERLINK(1)")
    assert any(float(each["margin"]) < 0 for each in _findings(out) if each["margin"])  # a number stays one


def test_what_cannot_be_read_is_a_row_and_the_run_goes_on(tmp_path):
    top, out = folder(tmp_path / "rigs", 2), tmp_path / "out"
    (top / "huge.yaml").write_bytes(b"rig: 1\nname: big\n" + b"# filler\n" * 6_000_000)  # 54 MB
    (top / "loop.yaml").symlink_to("loop.yaml")
    (top / "round").symlink_to(top)
    (top / "gone.yaml").symlink_to("nowhere.yaml")
    os.mkfifo(top / "pipe.yaml")
    (top / "folder.yaml").mkdir()
    (top / "bytes.yaml").write_bytes(b"rig: 1\nname: \xff\n")
    (top / "empty.yaml").write_bytes(b"")
    assert _run(top, out) == 4
    rows = {found["file"]: found for found in _rows(out)}
    unread = {name: found["headline"] for name, found in rows.items() if found["overall"] == "unreadable"}
    assert set(unread) == {"huge.yaml", "loop.yaml", "gone.yaml", "pipe.yaml", "bytes.yaml", "empty.yaml"}
    assert len(rows) == 8
    assert "at most 1048576 bytes (1 MiB)" in unread["huge.yaml"]
    assert "symbolic links" in unread["loop.yaml"]
    assert "no such file" in unread["gone.yaml"]
    assert "no regular file" in unread["pipe.yaml"]
    assert unread["bytes.yaml"].startswith("line 2, column 7: ")
    assert not any(str(tmp_path) in text for text in unread.values())


def test_a_file_that_vanishes_in_mid_run_is_a_row(tmp_path, monkeypatch):
    top, out = folder(tmp_path / "rigs", 3), tmp_path / "out"
    paths = batch.files.paths

    def then_gone(*arguments):
        found = list(paths(*arguments))
        (top / "1" / "rig-0001.yaml").unlink(missing_ok=True)
        return iter(found)

    monkeypatch.setattr(batch.files, "paths", then_gone)
    assert _run(top, out) == 4
    assert [found["overall"] for found in _rows(out)] == ["not_checked", "unreadable", "not_checked"]


def test_a_rule_that_fails_is_a_row_and_so_is_a_fault_of_ours(tmp_path, monkeypatch):
    top, out, rules = folder(tmp_path / "rigs", 2), tmp_path / "out", tmp_path / "rules"
    rules.mkdir()
    (rules / "bad.py").write_text("1 / 0\n", "utf-8")
    assert _run(top, out, 1, "json", "--rules", str(rules)) == 5
    assert {found["overall"] for found in _rows(out)} == {"rule_failed"}
    judged = one._judged
    monkeypatch.setattr(one, "_judged", lambda job, task: 1 / 0 if "0001" in task.file else judged(job, task))
    assert _run(top, out, 1, "json") == 5
    assert [found["overall"] for found in _rows(out)] == ["not_checked", "rule_failed"]
    assert "rigmargin failed on this file: ZeroDivisionError" in _rows(out)[1]["headline"]


def _dies(job, tasks):
    if any("0017" in task.file for task in tasks):
        os._exit(9)
    return _several(job, tasks)


_several = one.several


def test_a_worker_that_dies_costs_one_rig(tmp_path, monkeypatch):
    top = folder(tmp_path / "rigs", 60)
    monkeypatch.setattr(one, "several", _dies)
    job = Job(str(top), (".json",), False, "rig", False, ())
    batch.run(job, tmp_path / "out", executors.local(2))
    rows = _rows(tmp_path / "out")
    assert len(rows) == 60
    dead = [found for found in rows if found["overall"] == "rule_failed"]
    assert [found["file"] for found in dead] == ["2/rig-0017.yaml"]
    assert "ended without an answer" in dead[0]["headline"]


def test_rows_are_read_again_as_written(tmp_path):
    out = tmp_path / "out"
    _run(folder(tmp_path / "rigs", 2), out)
    for line in (out / "rows.jsonl").read_text("utf-8").splitlines(keepends=True):
        assert row.read(line).line() == line
    assert row.ORDER[1:] == VERDICTS


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["nowhere", "--out", "out"], 4, "'nowhere' is no folder"),
        (["rigs", "--out", "rigs"], 4, "holds the rigs themselves"),
        (["rigs", "--out", "."], 4, "holds the rigs themselves"),
        (["rigs", "--out", "mine"], 4, "holds 'letter.txt', which no run of ours wrote"),
        (["rigs", "--out", "rigs/0/rig-0000.yaml"], 4, "is no folder"),
        (["rigs", "--out", "out", "--rules", "nowhere"], 4, "--rules: "),
        (["rigs", "--out", "out", "--on", "dask://127.0.0.1:1"], 2, "no Dask scheduler answers at 127.0.0.1:1"),
    ],
)
def test_what_cannot_be_asked_for_is_said_and_nothing_is_touched(arguments, code, said, tmp_path, monkeypatch, capsys):
    folder(tmp_path / "rigs", 1)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear all", "utf-8")
    before = contents(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert cli.main(["club", *arguments]) == code
    assert said in capsys.readouterr().err
    assert {name: raw for name, raw in contents(tmp_path).items() if not name.endswith(".lock")} == before


def test_formats_that_are_none_are_refused(capsys):
    with pytest.raises(SystemExit):
        cli.main(["club", "x", "--out", "y", "--reports", "html,pdf"])
    assert "expected some of html, md, json, sarif, found 'pdf'" in capsys.readouterr().err


def test_sarif_of_every_rig_names_the_files_as_the_repository_does(tmp_path, monkeypatch):
    folder(tmp_path / "rigs", 2, over={1})
    (tmp_path / "rigs" / "bad.yaml").write_text("rig: 1\nname: 3\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    assert _run("rigs", tmp_path / "out", 1, "sarif") == 4
    logs = [json.loads(path.read_text("utf-8")) for path in sorted((tmp_path / "out" / "rigs").rglob("*.sarif"))]
    places = [
        {result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for result in log["runs"][0]["results"]}
        for log in logs
    ]
    assert places == [{"rigs/0/rig-0000.yaml"}, {"rigs/1/rig-0001.yaml"}, {"rigs/bad.yaml"}]
    levels = [{result["level"] for result in log["runs"][0]["results"]} for log in logs]
    assert ["error" in found for found in levels] == [False, True, True]


SETTINGS = """\
settings: 1
places: [us]
reserve: {axle-load: 10 %}
exceptions:
  - {rig: Rig 1, rule: axle-load, subject: tow_vehicle.axles.rear, reason: new axle ordered, by: the officer, until: 2026-12-31}
  - {rig: Rig 9, rule: axle-load, reason: gone, by: the officer, until: 2026-12-31}
"""


def test_settings_of_the_folder_count_for_all_its_rigs_and_clear_nothing(tmp_path):
    top, out = folder(tmp_path / "rigs", 3, over={1}), tmp_path / "out"
    before = json.loads((out / "summary.json").read_text("utf-8")) if _run(top, out) and out.exists() else {}
    (top / "rigmargin.yaml").write_text(SETTINGS, "utf-8")
    assert _run(top, out, 1, "html") == 1
    summary = json.loads((out / "summary.json").read_text("utf-8"))
    assert {name: summary[name] for name in ("overall", "limits", "binds")} == {
        name: before[name] for name in ("overall", "limits", "binds")
    }
    assert summary["settings"] == {"of them open and accepted for a time": 1, "of them within by less than a reserve": 2}
    assert summary["passed_over"] == []
    page = (out / "index.html").read_text("utf-8")
    assert "The rigs were judged by the settings of rigmargin.yaml" in page
    assert "The exception for axle-load of Rig 9 (line 6) was not used: no rig of that name or file is here." in page
    assert "of Rig 1 (line 5) was not used" not in page
    assert "Accepted until 2026-12-31 by the officer" in (out / "rigs" / "1" / "rig-0001.yaml.html").read_text("utf-8")
    (top / "rigmargin.yaml").write_text(SETTINGS.replace("10 %", "1 %"), "utf-8")
    _run(top, out, 1, "html")
    assert "of them within by less than a reserve" not in (out / "summary.json").read_text("utf-8")


def test_settings_that_cannot_be_read_stop_the_run_before_anything_is_touched(tmp_path, capsys):
    top, out = folder(tmp_path / "rigs", 1), tmp_path / "out"
    _run(top, out)
    before = contents(out)
    (top / "rigmargin.yaml").write_text("settings: 1\nplace: [us]\n", "utf-8")
    assert _run(top, out) == 4
    assert "write 'places', if that is meant" in capsys.readouterr().err
    assert contents(out) == before


def test_only_what_a_run_wrote_is_ever_replaced(tmp_path, capsys):
    """A folder that holds somebody's own files is refused, however its entries are called and wherever they lie."""
    top = folder(tmp_path / "mine", 2)
    own = folder(tmp_path / "v" / "rigs", 1)
    assert _run(top, own.parent) == 4
    assert "which no run of ours wrote" in capsys.readouterr().err
    assert contents(own) == contents(folder(tmp_path / "again", 1))
    out = tmp_path / "out"
    _run(top, out)
    letter = out / "rigs" / "0" / "letter.txt"
    letter.write_text("dear all", "utf-8")
    assert _run(top, out, 1, "html") == 4
    assert letter.read_text("utf-8") == "dear all"
    letter.unlink()
    beside = tmp_path / ".out.old" / "backup"
    beside.parent.mkdir()
    beside.write_text("mine", "utf-8")
    assert _run(top, out, 1, "html") == 4
    assert beside.read_text("utf-8") == "mine"


@pytest.mark.parametrize(
    "name", ["findings.csv", "index.html", "index.md", "rigs/1/rig-0001.yaml.json", "rows.jsonl", "summary.json"]
)
@pytest.mark.parametrize("harm", ["gone", "other"])
def test_an_output_that_somebody_changed_is_made_anew(name, harm, tmp_path):
    top, out = folder(tmp_path / "rigs", 3), tmp_path / "out"
    _run(top, out)
    before = contents(out)
    (out / name).unlink()
    if harm == "other":
        (out / name).write_text("x\n", "utf-8")
    code = _run(top, out)
    if name == "rows.jsonl":  # without its list nobody can say that the rest is ours
        assert code == 4
    else:
        assert contents(out) == before


def test_what_failed_is_asked_again_by_the_next_run(tmp_path, monkeypatch):
    top, out = folder(tmp_path / "rigs", 2), tmp_path / "out"
    judged = one._judged
    monkeypatch.setattr(one, "_judged", lambda job, task: (_ for _ in ()).throw(MemoryError()))
    assert _run(top, out) == 5
    monkeypatch.setattr(one, "_judged", judged)
    assert _run(top, out) == 3


def test_settings_below_the_folder_are_not_passed_by(tmp_path, capsys):
    top, out = folder(tmp_path / "rigs", 3), tmp_path / "out"
    (top / "1" / "rigmargin.yaml").write_text("settings: 1\nplaces: [us-ca]\n", "utf-8")
    assert _run(top, out) == 4
    assert "the settings of '1/rigmargin.yaml' count for the rigs below it" in capsys.readouterr().err
    assert _run(top, out, 1, "json", "--no-settings") == 3


def test_an_output_folder_that_is_a_link_is_written_where_it_leads(tmp_path):
    top, real, link = folder(tmp_path / "rigs", 2), tmp_path / "real", tmp_path / "link"
    real.mkdir()
    link.symlink_to(real)
    for reports in ("json", "html"):
        assert _run(top, link, 1, reports) == 3
        assert link.is_symlink()
        assert (real / "index.html").is_file()


def test_a_file_and_a_folder_may_have_like_names(tmp_path):
    top, out = tmp_path / "rigs", tmp_path / "out"
    (top / "a.yaml.json").mkdir(parents=True)
    for name in ("a.yaml", "a.yaml.json/b.yaml"):
        (top / name).write_text(small(name), "utf-8")
    assert _run(top, out) == 3
    assert {"rigs/a.yaml.json", "rigs/a.yaml%2Ejson/b.yaml.json"} <= set(contents(out))


@pytest.mark.parametrize("where", ["parts/truck.yaml", ".hidden/truck.yaml", "parts/truck.txt"])
def test_whatever_file_an_option_names_counts(where, tmp_path):
    top, out = tmp_path / "rigs", tmp_path / "out"
    (top / where).parent.mkdir(parents=True)
    text = (EXAMPLES / "cedar-pass-bigger-truck.yaml").read_text("utf-8")
    (top / "rig.yaml").write_text(text.replace("from cedar-pass-other-truck.yaml", f"from {where}"), "utf-8")
    shutil.copy(EXAMPLES / "cedar-pass-other-truck.yaml", top / where)
    _run(top, out)
    assert {found["file"]: found["overall"] for found in _rows(out)}["rig.yaml"] != "unreadable"
    (top / where).unlink()
    assert _run(top, out) == 4
    assert {found["file"]: found["overall"] for found in _rows(out)}["rig.yaml"] == "unreadable"


def test_exceptions_are_judged_anew_when_their_file_moves(tmp_path):
    """What an exception calls a rig is seen from the settings file, so its place matters."""
    top, out = folder(tmp_path / "club", 2, over={1}), tmp_path / "out"
    which = "rig: 1/rig-0001.yaml, rule: axle-load, subject: tow_vehicle.axles.rear"
    text = f"settings: 1\nexceptions:\n  - {{{which}, reason: r, by: b, until: 2026-12-31}}\n"
    for place in (top, tmp_path):
        (place / "rigmargin.yaml").write_text(text, "utf-8")
    counted = []
    for place in (top, tmp_path):
        _run(top, out, 1, "json", "--settings", str(place / "rigmargin.yaml"))
        counted.append(json.loads((out / "summary.json").read_text("utf-8"))["settings"])
    assert counted == [{"of them open and accepted for a time": 1}, {}]


def test_the_counts_of_a_run_with_settings_are_those_of_its_rigs(tmp_path, capsys):
    top, out = folder(tmp_path / "rigs", 2), tmp_path / "out"
    (top / "rigmargin.yaml").write_text("settings: 1\n", "utf-8")
    _run(top, out)
    assert "2 rigs under the folder." in capsys.readouterr().out
    _run(top, out)
    assert "2 rigs under the folder; 2 unchanged since the last run." in capsys.readouterr().out


def test_the_folder_one_stands_in_is_not_replaced(tmp_path, monkeypatch, capsys):
    top, here = folder(tmp_path / "rigs", 1), tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    assert _run(top, ".") == 4
    assert "stand in" in capsys.readouterr().err


def test_a_page_changed_at_the_same_length_is_made_anew(tmp_path):
    top, out = folder(tmp_path / "rigs", 2), tmp_path / "out"
    _run(top, out, 1, "html")
    before, page = contents(out), out / "rigs" / "1" / "rig-0001.yaml.html"
    page.write_bytes(page.read_bytes().replace(b"not checked", b"all checked"))
    assert _run(top, out, 1, "html") == 3
    assert contents(out) == before
