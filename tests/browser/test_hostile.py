"""What an owner writes stays text: every text field of the rig file, in every answer and every form of it.

All is made twice, of a hostile rig and of the same rig with plain words in it: the two must be built alike. Each check gives
the holes it finds, so that one run shows them all.
"""

import csv
import io
import json
import re
from collections import Counter
from functools import cache

import html5lib
import pytest
from club_repository import SETTINGS, Club
from hostile import FILE_NAMES, PLAIN, TEXTS, Filled, free, settings_of
from markdown_it import MarkdownIt
from outputs import of_changes, of_club, of_rig, of_settings

from browser.conftest import opening
from rigmargin.club.one import COLUMNS
from rigmargin.spec import schema
from rigmargin.spec.problem import printable

#: What our own lines on a terminal hold, and what of the rest moves its cursor (C0, C1) or the direction of text.
OWN = re.compile(r"\x1b\[[0-9;]*m|\n")
CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
#: What begins a formula in a spreadsheet (OWASP, "CSV Injection"), in full width too.
FORMULA = tuple("=+-@\t\r\n＝＋－＠")
#: What a code host makes of plain text, links, mentions, references and pictures; and tags. None may be left as it is.
ALIVE = ("http://", "www.x", "@someone", "#12", ":smile:", "<script", "<img", "<svg", "</")
#: A character reference opens nothing, nor do the ends of our own links.
DEAD = re.compile(r"&#[0-9]+;|\]\((?:rigs|sheets)/[^)\s]*\)")
ELEMENTS = "[...document.querySelectorAll('*')].map((one) => [one.localName, ...one.getAttributeNames().sort()].join(' '))"


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """All that is made of a rig, its settings, its club and its changes, by answer and form; each text's once."""

    @cache
    def of(kind):
        folder = tmp_path_factory.mktemp("hostile")
        text, name = TEXTS.get(kind, PLAIN), FILE_NAMES.get(kind, "plain.yaml")
        club = Club(folder / "club")
        club.write(name, str(Filled(text)))
        club.write("zzz.yaml", f"rig: 1\nname: cannot be read\nowner: {{{json.dumps(text)}: x}}\n")
        first = club.commit()
        club.change(name, '"190 lb"', '"390 lb"')
        (folder / "rigmargin.yaml").write_text(settings_of(text), "utf-8")
        made = of_rig(club.folder / name) | of_settings(folder / "rigmargin.yaml")
        return made | of_changes(club.folder, first, None) | of_club(club.folder, folder / "out")

    with pytest.MonkeyPatch.context() as patch:
        for variable, value in SETTINGS.items():
            patch.setenv(variable, value)
        yield of


@pytest.fixture(scope="module")
def in_order(browser, tmp_path_factory):
    """How often the browser finds each element in a page that is in order; each page's once."""

    @cache
    def of(page):
        with opening(browser, tmp_path_factory.mktemp("plain")) as (open_, _):
            return Counter(open_(page).evaluate(ELEMENTS))

    return of


def test_every_text_field_of_the_schema_is_filled():
    fields = {path for path, node in schema.catalogue().items() if free(node)}
    rows = {path for path in fields if any(f".{row}." in path for row in schema.ROWS)}
    assert fields - rows - Filled(PLAIN).paths == set()


@pytest.mark.parametrize("kind", TEXTS)
def test_whatever_is_written_stays_text(kind, written, opened, in_order):
    hostile, plain = written(kind), written("plain")
    assert len(hostile) == len(plain) > 40
    pairs = [(where, text, other) for (where, text), other in zip(hostile.items(), plain.values(), strict=True)]
    found = [(*where, hole) for where, text, other in pairs for hole in _holes(where[1], text, other)]
    assert found == []
    _says_the_name_as_it_was_written(kind, hostile)
    for where, text, other in pairs:
        if kind == "markup" and where[1].endswith(
            ".html"
        ):  # whatever runs, asks the network or complains in there is found by ``opened``
            assert Counter(opened(text).evaluate(ELEMENTS)) == in_order(other), where


def _holes(form, text, plain):
    """What is wrong with a text in some form, beside that of the plain rig."""
    ending = form.rpartition(".")[2]
    checks = {
        "html": (_html, _turned), "md": (_markdown, _turned), "csv": (_table,), "json": (_json,), "sarif": (_json, _sarif),
        "terminal": (_terminal,), "errors": (_terminal,), "jsonl": (),
    }  # fmt: skip
    return [hole for check in checks[ending] for hole in check(text, plain)]


def _html(text, plain):
    try:
        tree = html5lib.HTMLParser(namespaceHTMLElements=False, strict=True).parse(text)
        yield from _elements(tree) - _elements(html5lib.parse(plain, namespaceHTMLElements=False))
    except html5lib.html5parser.ParseError as wrong:
        yield str(wrong)
    if "default-src 'none'" not in text:
        yield "no policy"


def _elements(tree):
    """How often each element occurs with each set of attributes' names."""
    return Counter((str(one.tag), *sorted(map(str, one.attrib))) for one in tree.iter())


def _markdown(text, plain):
    shown = (MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(one) for one in (text, plain))
    mine, other = (_elements(html5lib.parse(f"<!doctype html>{one}", namespaceHTMLElements=False)) for one in shown)
    yield from (mine - other) + (other - mine)
    yield from (one for one in ALIVE if one in DEAD.sub("", text))


def _turned(text, _):
    yield from CONTROL.findall(text.replace("\n", ""))


def _terminal(text, _):
    yield from CONTROL.findall(OWN.sub("", text))


def _table(text, _):
    first, *lines = csv.reader(io.StringIO(text, newline=""))
    if first != list(COLUMNS) or {len(line) for line in lines} != {len(COLUMNS)}:
        yield "the columns are not those"
    for line in lines:
        for column, cell in zip(COLUMNS, line, strict=True):
            number = column in ("load", "limit", "margin", "uncertainty") and re.fullmatch(r"-[0-9.]+", cell)
            if cell.startswith(FORMULA) and not number:
                yield column, cell


def _json(text, plain):
    if _shape(json.loads(text)) != _shape(json.loads(plain)):
        yield "built otherwise"


def _shape(value):
    """The kinds of value in a document, with how often each occurs; keys are left out, for some are names."""
    if isinstance(value, dict | list):
        return type(value).__name__, Counter(
            repr(_shape(one)) for one in (value.values() if isinstance(value, dict) else value)
        )
    return type(value).__name__


def _sarif(text, _):
    for run in json.loads(text)["runs"]:
        for said in (result["message"]["text"] for result in run["results"]):
            yield from CONTROL.findall(said)
            lone = re.search(r"(?<!\{)\{(?:\{\{)*(?!\{)", said)  # it would open a placeholder
            if "](" in said or lone:
                yield said


def _says_the_name_as_it_was_written(kind, made):
    name = printable(TEXTS[kind])
    assert html5lib.parse(made["report", ".html"], namespaceHTMLElements=False).find(".//h1").text.startswith(name)
    assert OWN.sub("", made["report", "terminal"].splitlines()[0]).startswith(name)
    assert json.loads(made["report", ".json"])["rig"]["name"].startswith(TEXTS[kind])
