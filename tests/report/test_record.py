"""The record: it names the file, says what is open before what is kept, and claims nothing of the rig."""

import hashlib
import io
import re
from pathlib import Path

import html5lib
import pypdf
import pytest
from markdown_it import MarkdownIt
from rigs import COMPUTED, rig

from rigmargin import cli
from rigmargin.judge import plugins
from rigmargin.judge.plugins import Ruleset
from rigmargin.judge.run import judge
from rigmargin.report import pdf, record, words
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
ALDER, MISTY, QUARRY, OTTER = (
    next(p for p in EXAMPLES if p.stem == name)
    for name in ("alder-creek-fifth-wheel", "misty-lane-thin", "quarry-bend-utility", "otter-bend-two-days")
)  # fmt: skip
#: What no page of ours says of a rig; "no approval" and "certification label" are other words.
CLAIMS = re.compile(
    r"\b(safe|safely|legal|legally|lawful|certified|certif(y|ies)|certificate|approved|compliant|passes? all|ok)\b",
    re.IGNORECASE,
)


def _claims(page):
    return CLAIMS.search(page.replace("Not legal advice", ""))


def _text(report, **asked):
    page = html5lib.parse(record.html(report, **asked), namespaceHTMLElements=False)
    return " ".join(" ".join(page.find("body").itertext()).split())


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def report(request):
    return judge(load(request.param))


def test_every_example_is_one_page(report):
    paper = tuple(pdf.PAPERS)[[file.stem for file in EXAMPLES].index(Path(report.rig.file).stem) % 2]  # by turns: it is slow
    assert len(pypdf.PdfReader(io.BytesIO(pdf.pdf(record.html(report), paper))).pages) == 1


def test_it_is_well_formed_and_says_the_answer_and_never_more(report):
    html5lib.HTMLParser(strict=True).parse(record.html(report))
    text, markdown = _text(report), record.markdown(report)
    for page in (text, markdown):
        assert not _claims(page), _claims(page)
        assert "no approval, no inspection and no permission to travel" in page
        assert "for that loading on that day" in page
        assert "The makers' own figures and the law of the place come before it" in page
        assert "As long as these lines are blank, nobody has stated that." in page
    assert words.VERDICT_WORDS[report.overall][0] in text
    shown = record.view(report)
    assert shown.report.headline in text
    for _, word, number in shown.report.counts:
        assert f"{number} {word}" in text


def test_what_is_open_is_counted_in_a_heading_that_stands_before_every_margin(report):
    open_ = sum(report.counts.get(v, 0) for v in ("rule_failed", "conflict", "too_close", "not_checked"))
    judged = sum(n for v, n in report.counts.items() if v not in ("note", "not_applicable"))
    text, shown = _text(report), record.view(report)
    assert f"Not settled: {open_ or 'none'} of {judged} checks" in text
    assert f"Not settled: {open_ or 'none'} of {judged} checks" in record.markdown(report)
    assert text.index("Not settled") < text.index(
        "least margin" if shown.binding else "Margins: none", text.index("Not settled")
    )
    assert sum(number for *_, number in shown.open) + shown.more_open == open_
    assert ("Of these the page says nothing, neither good nor bad" in text) is bool(open_)
    assert "Looked at by no check, of any rig:" in text


def test_a_rig_of_unknowns_does_not_look_like_one_that_is_within():
    misty = judge(load(MISTY))
    text = _text(misty)
    assert "permission to travel. Nothing checked is passed, but 40 of 42 checks could not be settled" in text
    assert "Not settled: 40 of 42 checks" in text
    shown = record.view(misty)
    assert len(shown.open) == record.MOST_OPEN and shown.more_open > 0
    assert f"and {shown.more_open} more that are not named here" in text


def test_passed_limits_come_before_the_least_margins(report):
    shown = record.view(report)
    passed = [row.verdict in words.PASSED for row in shown.binding]
    assert passed == sorted(passed, reverse=True)
    failing = sum(report.counts.get(v, 0) for v in words.PASSED)
    assert sum(passed) + shown.more_passed == failing
    kept = [row for row in shown.binding if row.verdict not in words.PASSED]
    least = min((row.room for row in shown.report.by_room if row.verdict not in words.PASSED), default=None)
    assert [row.room for row in kept][:1] == ([] if least is None else [least])
    for row in shown.binding:
        assert not row.spread or row.spread in _text(report)


def test_more_passed_limits_than_fit_are_counted():
    parts = {f"part {n}": {"max_towed_mass": "1000 lb"} for n in range(record.MOST_PASSED + 3)}
    many = judge(rig(**COMPUTED | {"coupling": COMPUTED["coupling"] | {"parts": parts}}))
    shown = record.view(many)
    failing = sum(many.counts.get(v, 0) for v in words.PASSED)
    named = sum(row.verdict in words.PASSED for row in shown.binding)
    assert named + shown.more_passed == failing
    assert shown.more_passed
    assert f"{shown.more_passed} more are passed or not met; the report names them" in _text(many)


def test_the_fingerprint_is_that_of_the_files_bytes():
    for path in (ALDER, QUARRY):
        assert f"Fingerprint (SHA-256 of the file) {hashlib.sha256(path.read_bytes()).hexdigest()} " in _text(judge(load(path)))
    assert "none: the figures came from no file" in _text(judge(rig()))


def test_the_fingerprint_is_of_what_was_read_marks_at_its_beginning_too(tmp_path):
    file = tmp_path / "rig.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + ALDER.read_bytes().replace(b"\n", b"\r\n"))
    assert load(file).raw == file.read_bytes() != load(ALDER).raw
    assert hashlib.sha256(file.read_bytes()).hexdigest() in _text(judge(load(file)))


def test_it_says_by_what_was_judged_and_on_what_evidence():
    text = _text(judge(load(ALDER)))
    for said in ("File alder-creek-fifth-wheel.yaml", "Date in the file 2026-06-01", "Places us, us-co", "no settings file",
                 "plugin core of rigmargin 0.1.0", "Ticket: the rig coupled, no bars or bars slack, 2026-05-02",
                 "owner's estimate", "Ticket: the tow vehicle alone, 2026-05-02", "certification label",
                 "and exceptions nothing"):  # fmt: skip
        assert said in text, said
    bare = _text(judge(rig()))
    assert "Places none stated: the law of no place was looked at" in bare
    assert "Date in the file none stated" in bare
    assert "No ticket: no vehicle was weighed, and what is known of the loads is computed or stated." in bare
    assert "not everything aboard" in _text(judge(load(OTTER)))


def test_of_many_tickets_the_first_are_named_and_the_others_counted():
    tickets = [{"state": "coupled", "front": "3000 lb", "increment": "20 lb", "on": f"2026-05-0{day}"} for day in range(1, 10)]
    many = judge(rig(**COMPUTED | {"weighings": tickets}))
    for page in (_text(many), record.markdown(many).replace("&#58;", ":")):
        assert page.count("Ticket: ") == 4
        assert "2026-05-04" in page and "and 5 more tickets" in page and "2026-05-05" not in page


def test_that_it_is_no_approval_stands_beside_the_verdict_too(report):
    text = _text(report)
    said = f"{words.VERDICT_WORDS[report.overall][0]} This page is no approval, no inspection and no permission to travel."
    assert said in text[: text.index("Not settled")]
    assert "**This page is no approval" in record.markdown(report).partition("## Not settled")[0]


@pytest.mark.parametrize("held", [("jp",), ("us", "jp", "kr"), ("us-fl",)])
def test_every_place_of_which_no_law_is_held_is_named(held):
    travelling = judge(rig(places=list(held)))
    none = [place for place in held if place in ("jp", "kr")]  # there is no regulation file of either
    for page in (_text(travelling), record.markdown(travelling).replace("&#58;", ":")):
        places = page[page.index(" Places") :]
        places = places[: places.index("may be out of date.")]
        assert f"{', '.join(held)}: " in places
        assert "Not legal advice" in places
        assert (f"nothing is held for {' and '.join(none)}" in places) is bool(none)
    assert "no law is held, so that of none was looked at" in _text(
        judge(rig(places=["us"]), Ruleset(plugins.load().rules, ()))
    )


SETTINGS = """
settings: 1
reserve: {tow_vehicle: 50 %}
exceptions:
  - {rig: rig.yaml, rule: payload, subject: tow_vehicle, reason: A lighter load comes, by: the officer, until: 2099-08-31}
"""


def test_settings_that_were_used_and_exceptions_are_on_it_and_clear_nothing(tmp_path, capsys):
    (tmp_path / "rig.yaml").write_bytes(ALDER.read_bytes())
    (tmp_path / "rigmargin.yaml").write_text(SETTINGS, "utf-8")
    target = tmp_path / "record.md"
    assert cli.main(["record", str(tmp_path / "rig.yaml"), "--to", str(target)]) == 1, "an exception clears nothing"
    assert capsys.readouterr().out == f"{target}: ▲ over\n"
    page = target.read_text("utf-8")
    assert "Settings: rigmargin.yaml" in page and str(tmp_path) not in page
    assert "A lighter load comes" in page and "the officer" in page and "It stays open." in page
    assert "A reserve of 50 % is asked for" in page


def test_the_owner_is_named_only_when_asked_for():
    alder = judge(load(ALDER))
    for page in (record.html, record.markdown):
        assert "member 0142" not in page(alder)
        assert "member 0142" in page(alder, owner=True)


def test_there_are_lines_to_sign_on_and_what_signing_states():
    page = html5lib.parse(record.html(judge(load(ALDER))), namespaceHTMLElements=False)
    blanks = [" ".join("".join(div.itertext()).split()) for div in page.findall(".//div[@class='blanks']/div")]
    assert blanks == ["Name", "Date", "Signature"]
    assert "I state nothing else by signing: not that the rig is fit to travel" in _text(judge(load(ALDER)))


def test_signing_states_no_more_than_the_file_says_was_read():
    for page in (_text(judge(load(MISTY))), record.markdown(judge(load(MISTY)))):
        assert "weighed" not in page[page.index("Read by") :], "there is no ticket"
        assert (
            "I read or measured 1 of the 7 figures and words that the findings rest on, where the file says so "
            "(certification label); of the other 6 (3 source not stated, 3 brochure) I state nothing."
        ) in page
    weighed = _text(judge(load(ALDER)))
    assert "Read and weighed by I weighed this rig as the file says. I read or measured 20 of the 76 " in weighed
    assert "of the other 56 (52 source not stated, 2 brochure, 2 owner's estimate) I state nothing." in weighed
    nothing = record.view(judge(rig(tow_vehicle={"gvwr": "7000 lb"})))
    assert nothing.by == "Read by"
    assert nothing.signed[0].startswith("The file says of none of the ")


def test_a_hostile_rig_stays_text(hostile):
    parser = html5lib.HTMLParser(namespaceHTMLElements=False, strict=True)
    tags = {e.tag for e in parser.parse(record.html(hostile, owner=True)).iter() if isinstance(e.tag, str)}
    assert not tags & {"script", "img", "a", "svg", "iframe"}
    rendered = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(record.markdown(hostile, owner=True))
    for markup in ("<script", "<img", "<a ", "<svg"):
        assert markup not in rendered


def test_the_command_takes_the_endings_of_a_page_and_units(tmp_path, capsys):
    for ending in (".html", ".md"):
        assert cli.main(["record", str(QUARRY), "--to", str(tmp_path / f"r{ending}"), "--units", "metric"]) == 0
        assert " kg" in (tmp_path / f"r{ending}").read_text("utf-8")
    assert cli.main(["record", str(QUARRY), "--to", str(tmp_path / "r.json")]) == 2
    assert "ends in none of .html, .md, .pdf" in capsys.readouterr().err
    assert cli.main(["record", str(MISTY), "--to", str(tmp_path / "m.html")]) == 3
