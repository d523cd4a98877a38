"""A name that is written from right to left leaves the figures beside it in their places."""

import re

import html5lib
import pytest
from rigs import COMPUTED, rig

from rigmargin.judge.run import judge
from rigmargin.report import bidi, pages, record, sheet
from rigmargin.report.view import view

NAME = "נוסע"  # passenger
RIG = COMPUTED | {"name": f"{NAME} & co", "tow_vehicle": COMPUTED["tow_vehicle"] | {
    "load": {f"{NAME} 2": {"mass": "150 lb", "person": "yes", "at": "60 in"}},
}}  # fmt: skip


@pytest.mark.parametrize("page", [pages.html, record.html, sheet.html])
def test_such_words_stand_in_elements_of_their_own_and_the_title_holds_none(page):
    made = page(judge(rig(**RIG)))
    html5lib.HTMLParser(strict=True).parse(made)
    body, title = made[made.index("<body") :], re.search("<title>(.*?)</title>", made)[1]
    assert NAME in title and "bdi" not in title
    outside = re.sub(r"<script.*?</script>|<svg.*?</svg>|<[^>]*>", "", re.sub("<bdi>.*?</bdi>", "", body), flags=re.DOTALL)
    assert f"<bdi>{NAME}</bdi>" in body
    assert NAME not in outside


def test_in_markdown_they_stand_between_the_characters_made_for_it():
    made = pages.markdown(judge(rig(**RIG)))
    assert made.count(NAME) == made.count(f"\u2068{NAME}\u2069") > 1


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("נוסע 2: 150 lb", "(נוסע) 2: 150 lb"),
        ("נוסע ראשון 150 lb, ילד", "(נוסע ראשון) 150 lb, (ילד)"),
        ("سائق 90 kg", "(سائق) 90 kg"),
        ("Größe, 重量, вес 3", "Größe, 重量, вес 3"),
    ],
)
def test_a_figure_stays_outside(text, shown):
    assert bidi.isolated(text).translate({0x2068: "(", 0x2069: ")"}) == shown


def test_direction_marks_of_the_file_are_still_shown_as_escapes():
    assert "\\u2067" in view(judge(rig(name="a\u2067b"))).name
