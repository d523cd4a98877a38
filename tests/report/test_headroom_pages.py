"""Headroom as people and machines read it."""

import io
import json
from pathlib import Path

import html5lib
import pytest
from rich.console import Console

from rigmargin import cli
from rigmargin.advice.headroom import headroom
from rigmargin.judge.run import judge
from rigmargin.report import headroom as pages
from rigmargin.spec.rig import load

EXAMPLE = Path(__file__).parents[2] / "specs_examples" / "birch-hollow-travel-trailer.yaml"


@pytest.fixture(scope="module")
def room():
    return headroom(judge(load(EXAMPLE)))


def test_terminal_fits_eighty_columns(room):
    out = io.StringIO()
    pages.show(pages.view(room), Console(file=out, width=80, highlight=False, markup=False))
    text = out.getvalue()
    assert max(map(len, text.splitlines())) <= 80
    for words in ("may still be added", "Heaviest trailer", "To clear:", "Take 177 lb away at bed (tow vehicle)"):
        assert words in " ".join(text.split())


def test_every_form_says_the_same(room):
    shown = pages.view(room)
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages.html(room, "rig"))
    page = " ".join("".join(html.itertext()).split())
    markdown = pages.markdown(room, "rig")
    for cure in shown.cures:
        for change, other in cure.ways:
            assert f"{change}: {other}." in page
            assert change.split(" from ")[0] in markdown
    data = json.loads(pages.json(room, "rig"))
    assert [c["mass"] for c in data["heaviest_trailer"]] == sorted(c["mass"] for c in data["heaviest_trailer"])
    assert len(data["rooms"]) == len(room.rooms)


def test_what_may_be_added_is_rounded_down_and_what_must_go_is_rounded_up(room):
    shown = pages.view(room)
    exact = {r.spot.name: r.mass for r in room.rooms if r.mass}
    for row in shown.rooms:
        for name, mass in exact.items():
            if name in row.where and row.may_add != "0 lb":
                assert float(row.may_add.split()[0]) <= mass / 0.45359237 + 1e-6
    for cure, plain in zip(room.cures, shown.cures, strict=True):
        for way, (text, _) in zip((*cure.removals, *cure.moves), plain.ways, strict=True):
            assert float(text.split()[1]) >= way.mass / 0.45359237 - 1e-6


def test_both_units(room):
    assert any("kg)" in row.may_add for row in pages.view(room, "both").rooms)


def test_hostile_names_stay_text(hostile):
    room = headroom(hostile)
    html = html5lib.HTMLParser(namespaceHTMLElements=False).parse(pages.html(room, "rig"))
    assert {e.tag for e in html.iter() if isinstance(e.tag, str)}.isdisjoint({"script", "img", "a", "b"})
    assert "<script" not in pages.markdown(room, "rig")


def test_the_command(tmp_path, capsys):
    assert cli.main(["headroom", str(EXAMPLE)]) == 1
    assert "To clear:" in capsys.readouterr().out
    for ending in (".html", ".md", ".json"):
        assert cli.main(["headroom", str(EXAMPLE), "--to", str(tmp_path / f"h{ending}")]) == 1
        assert (tmp_path / f"h{ending}").stat().st_size > 500
    assert cli.main(["headroom", str(EXAMPLE), "--to", str(tmp_path / "h.pdf")]) == 2
    assert cli.main(["headroom", str(tmp_path / "none.yaml")]) == 4
