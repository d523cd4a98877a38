"""PDF read back: every finding whole on one page, the answer on the first, nothing fetched, nothing of the machine in it."""

import io
import os
import re
import socket
import subprocess
import sys
from functools import cache
from pathlib import Path

import pypdf
import pytest
from markupsafe import Markup
from printed import page_texts, squashed
from rigs import COMPUTED, rig

from rigmargin import cli
from rigmargin.judge.run import judge
from rigmargin.report import pages, pdf, record, rendering, sheet, svg_styles
from rigmargin.report.view import view
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
ALDER, MISTY, LINDEN = (
    next(p for p in EXAMPLES if p.stem == name) for name in ("alder-creek-fifth-wheel", "misty-lane-thin", "linden-caravan")
)


def _read(content):
    return pypdf.PdfReader(io.BytesIO(content))


@cache
def _printed(example, paper):
    report = judge(load(example))
    return view(report), page_texts(pdf.pdf(pages.html(report), paper))


@pytest.fixture(scope="module", params=[(ALDER, "letter")], ids=str)
def printed(request):
    return _printed(*request.param)


def test_the_first_page_is_the_summary(printed):
    shown, text = printed
    first, summary = text[0], [shown.name, shown.overall_word.upper(), shown.headline, "The rig, to scale"]
    summary += [cure for row in shown.cures[:5] for cure in row.cures]
    summary += [row.label for row, _ in shown.chart[:3]]
    summary += [f"{number} {word}" for _, word, number in shown.counts]
    for said in summary:
        assert squashed(said) in first, said
    assert "Findings" not in first


def test_much_in_one_place_and_many_cures_leave_room_on_the_first_page_and_stand_in_full_behind_it():
    boxes = {f"box {n:02}": {"mass": "3 lb", "at": "60 in"} for n in range(60)}
    weak = {f"part {n:02}": {"max_towed_mass": "1000 lb"} for n in range(31)}
    many = rig(**COMPUTED | {
        "tow_vehicle": COMPUTED["tow_vehicle"] | {"load": boxes},
        "coupling": COMPUTED["coupling"] | {"parts": weak},
    })  # fmt: skip
    report = judge(many)
    shown, text = view(report), page_texts(pdf.pdf(pages.html(report)))
    first, behind = text[0], "".join(text[1:])
    assert len(shown.cures) >= 31
    assert squashed("box 04 3 lb; and 55 more, 165 lb") in first  # 60 boxes of 3 lb, less five
    assert "box05" not in first
    more = f"and {len(shown.cures) - 5} more, each below with its finding"
    for said in (shown.cures[4].label, more, shown.chart[0][0].label):
        assert squashed(said) in first
    for said in ("box 59 3 lb", *shown.cures[-1].cures):
        assert squashed(said) in behind


def test_every_finding_stands_whole_on_one_page_with_all_that_is_folded_on_a_screen(printed):
    shown, text = printed
    for row in shown.judged:
        pieces = [row.text, row.how, row.source, *row.notes, *row.cures, *row.evidence, row.basis, row.rule]
        pieces += [part for one in row.missing for part in one]
        wanted = [squashed(piece) for piece in pieces]
        assert any(all(piece in page for piece in wanted) for page in text), row.text


def test_every_load_act_and_caution_is_there(printed):
    shown, text = printed
    whole = "".join(text)
    for one in shown.loads:
        for said in (one.name, one.value, *one.others, *one.inputs):
            assert squashed(said) in whole
    for act in shown.acts:
        assert any(squashed(f"{act.name}: {act.how}") in page for page in text)
    for caution in shown.cautions:
        assert any(squashed(caution) in page for page in text)


def test_every_page_names_the_rig_the_answer_and_its_own_number(printed):
    shown, text = printed
    for number, page in enumerate(text, 1):
        assert squashed(f"{shown.name}: {shown.overall_word}, judged for") in page
        assert f"page{number}of{len(text)}" in page


def test_title_language_and_tags_and_nothing_of_the_machine():
    written = pdf.pdf(pages.html(judge(load(ALDER))))
    read = _read(written)
    assert read.metadata.title == "Alder Creek fifth wheel: over"
    assert set(read.metadata) == {"/Title", "/Producer"}
    assert read.trailer["/Root"]["/Lang"] == "en"
    assert read.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in read.trailer["/Root"]
    plain = b"".join(page.get_contents().get_data() for page in read.pages) + written
    for trace in (str(Path.cwd()), str(ALDER.parent), "specs_examples", os.environ.get("HOME", "/root")):
        assert trace.encode() not in plain


def test_the_same_page_gives_the_same_bytes_in_another_process(tmp_path):
    made = []
    for seed in ("1", "2"):
        target = tmp_path / seed / "record.pdf"
        target.parent.mkdir()
        command = (sys.executable, "-m", "rigmargin", "record", str(ALDER), "--to", str(target))
        run = subprocess.run(command, env={**os.environ, "PYTHONHASHSEED": seed}, cwd=target.parent, check=False, timeout=120)
        assert run.returncode == 1
        made.append(target.read_bytes())
    assert made[0] == made[1]


@pytest.mark.parametrize("asks", [
    "<img src='http://127.0.0.1:9/x.png'>", "<link rel=stylesheet href='file:///etc/hostname'>", "<img src='x.png'>",
    "<style>p { background: url(http://127.0.0.1:9/y.png) }</style><p>here</p>", "<style>@import 'z.css';</style>",
])  # fmt: skip
def test_nothing_is_fetched(asks, monkeypatch, caplog):
    monkeypatch.setattr(socket.socket, "connect", lambda *_: pytest.fail("a connection was opened"))
    read = _read(pdf.pdf(f"<html lang=en><title>t</title>{asks}<p>words</p>"))
    assert "words" in read.pages[0].extract_text()
    refused = [record.getMessage() for record in caplog.records if record.levelname == "ERROR"]
    assert len(refused) == 1
    assert "disallowed protocol" in refused[0] or "without a base URI" in refused[0]


def test_pages_of_ours_ask_for_nothing(caplog):
    pdf.pdf(pages.html(judge(load(MISTY))))
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


@pytest.mark.parametrize("page", [sheet.html, record.html])  # a report is slow, and made by the same hands
def test_hostile_names_stay_text(page, hostile):
    text = page(hostile)
    read = _read(pdf.pdf(text))
    assert read.metadata.title.startswith(view(hostile).name)
    assert "/JavaScript" not in read.trailer["/Root"].get("/Names", {})
    assert not any("/Annots" in one for one in read.pages), "a name became a link"
    assert squashed(view(hostile).name)[:24] in squashed(read.pages[0].extract_text())
    styles = text[text.index("<style>") + 7 : text.index("</style>")]
    assert "<" not in styles and "alert(1)" not in styles


def test_a_text_in_a_css_string_cannot_leave_it():
    assert rendering.css_text('a"\\</style>\n 9') == r"a\000022\00005c\00003c\00002fstyle\00003e\00000a\0000209"
    assert rendering.css_text(Markup("a &lt; b")) == r"a\000020\00003c\000020b"
    assert rendering.css_text("&lt;") == r"\000026lt\00003b", "a text that is no markup is taken as it is"
    assert re.fullmatch(r'[^"\\]*', rendering.css_text("Lärche 7")) is None and "Lärche" in rendering.css_text("Lärche 7")


PAINTED = """<html lang=en><style>
:root { --ink: #123456; --bad: red } @media (prefers-color-scheme: dark) { :root { --ink: white } }
@media (max-width: 34rem) { .bar .load { fill: pink } }
.bar .load { fill: var(--ink); width: 3px } .bar.v-over .load { fill: var(--bad) } .a::details-content { fill: blue }
@media print { :root { --bad: #000 } .bar .load { stroke: none } }
</style><div class="bar v-over"><svg viewBox="0 0 9 9"><rect class="load"/><rect class="other"/></svg></div>
<div class="bar"><svg viewBox="0 0 9 9"><rect class="load"/></svg></div><p class="bar"><b class="load">no drawing</b></p>"""


def test_a_drawing_carries_the_paint_its_page_gives_it_in_print():
    import weasyprint

    page = weasyprint.HTML(string=PAINTED)
    svg_styles.inline(page.wrapper_element)
    styles = {(e.tag.rpartition("}")[2], e.get("class")): [] for e in page.etree_element.iter() if e.get("class")}
    for element in page.etree_element.iter():
        if element.get("class"):
            styles[element.tag.rpartition("}")[2], element.get("class")].append(element.get("style"))
    over, within = (dict(part.split(":") for part in one.split(";")) for one in styles["rect", "load"])
    assert over == {"fill": "#000", "stroke": "none"}
    assert within == {"fill": "#123456", "stroke": "none"}
    assert styles["rect", "other"] == [None]
    assert styles["b", "load"] == [None]


def test_without_weasyprint_the_command_says_what_to_install_and_writes_nothing(tmp_path, capsys, monkeypatch):
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    target = tmp_path / "r.pdf"
    for command in ("report", "sheet", "record", "headroom"):
        assert cli.main([command, str(ALDER), "--to", str(target)]) == 2
        error = capsys.readouterr().err
        assert "it is not installed" in error and "pip install 'rigmargin[pdf]'" in error and "libpango-1.0-0" in error
        assert error.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_without_the_libraries_of_the_system_the_command_says_which(tmp_path, capsys, monkeypatch):
    (tmp_path / "weasyprint.py").write_text("raise OSError(\"cannot load library 'libpango-1.0-0': no such file\\nmore\")")
    monkeypatch.syspath_prepend(tmp_path)
    for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    assert cli.main(["report", str(ALDER), "--to", str(tmp_path / "r.pdf")]) == 2
    error = capsys.readouterr().err
    assert "cannot load library 'libpango-1.0-0': no such file)" in error and "libharfbuzz-subset0" in error
    assert "Traceback" not in error and not (tmp_path / "r.pdf").exists()


@pytest.mark.parametrize(("command", "code", "said"), [
    (["report", str(MISTY)], 3, "Findings"),
    (["sheet", str(ALDER)], 0, "On the scale"),
    (["record", str(ALDER)], 1, "What this page is not"),
    (["headroom", str(ALDER)], 1, "Cautions"),
    (["compare", str(ALDER.with_name("juniper-flat-before.yaml"))], 0, "Cautions"),
    (["plan", str(ALDER.with_name("thistle-ford-generator.yaml"))], 0, "Cautions"),
    (["settings", str(ALDER.parent)], 0, "Settings"),
])  # fmt: skip
def test_every_command_that_writes_html_writes_pdf_on_the_paper_asked_for(command, code, said, tmp_path):
    target = tmp_path / "page.pdf"
    assert cli.main([*command, "--to", str(target), "--paper", "letter"]) == code
    read = _read(target.read_bytes())
    box = read.pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792), "8½ by 11 inches of 72 points"
    text = "".join(page_texts(target.read_bytes()))
    assert squashed(said) in text
    assert squashed("What if it were loaded otherwise") not in text, "paper shows the rig on file, and has no dials"


def test_a4_unless_asked_and_no_other_paper(tmp_path, capsys):
    target = tmp_path / "page.pdf"
    assert cli.main(["sheet", str(ALDER), "--to", str(target)]) == 0
    box = _read(target.read_bytes()).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (595, 842), (
        "210 by 297 mm: 210 / 25.4 · 72 = 595.3, 297 / 25.4 · 72 = 841.9"
    )
    with pytest.raises(SystemExit):
        cli.main(["sheet", str(ALDER), "--to", str(target), "--paper", "a3"])
    assert "letter" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("example", "paper"),
    [pytest.param(file, tuple(pdf.PAPERS)[i % 2], id=file.stem) for i, file in enumerate([MISTY, *EXAMPLES[::3]])],
)
def test_the_sheet_of_an_example_is_one_page(example, paper):
    assert len(_read(pdf.pdf(sheet.html(judge(load(example))), paper)).pages) == 1


def test_a_sheet_with_more_than_fits_goes_on_and_repeats_its_head():
    items = {f"box number {n}": {"mass": "10 lb", "at": "20 in"} for n in range(90)}
    report = judge(rig(**COMPUTED | {"trailer": COMPUTED["trailer"] | {"load": items}}))
    text = page_texts(pdf.pdf(sheet.html(report)))
    assert len(text) > 1
    for page in text[:2]:
        assert squashed("Copy what the scale prints") in page and squashed("a test: weigh-day sheet") in page
    for n in range(90):
        assert f"boxnumber{n}" in "".join(text)
