"""Numbers that a page's script may write otherwise are elements in its text, and plain text where no element may stand."""

import pytest

from rigmargin.report import marks
from rigmargin.report.display import Display

LIVE = Display(("us",), live=True)
WEIGHT = 4535.9237  # kg: 10000 lb, by the pound of 0.45359237 kg (NIST SP 811)


def test_a_number_in_the_text_is_an_element_whose_value_is_si():
    page = marks.elements(f"<p>It weighs {LIVE.number(WEIGHT, 'mass', 'up')}.</p>")
    assert page == '<p>It weighs <data value="4535.9237" data-as="mass up">10000 lb</data>.</p>'


def test_a_number_without_its_unit_stays_without():
    page = marks.elements(f"<p>{LIVE.number(WEIGHT, 'mass', 'down', units_too=False)} to</p>")
    assert page == '<p><data value="4535.9237" data-as="mass down bare">10000</data> to</p>'


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("<p title='{}'>x</p>", "<p title='10000 lb'>x</p>"),
        ("<title>{}</title>", "<title>10000 lb</title>"),
        ("<svg><text>{}</text></svg>", "<svg><text>10000 lb</text></svg>"),
    ],
)
def test_where_no_element_may_stand_it_is_plain_text(before, after):
    assert marks.elements(before.replace("{}", LIVE.number(WEIGHT, "mass"))) == after


def test_a_number_that_is_none_is_plain_text():
    assert marks.elements(f"<p>{marks.number('endless', float('inf'), 'mass', 'up', bare=False)}</p>") == "<p>endless</p>"


def test_what_looks_like_a_mark_in_a_file_stays_as_it_was_written():
    forged = "\ue000mass up 5\ue001x\ue002 \ue0000011aabb mass up 5\ue001x\ue002"
    assert marks.elements(f"<p>{forged}</p>") == f"<p>{forged}</p>"


def test_without_a_script_to_read_them_numbers_have_no_marks():
    assert Display(("us",)).number(WEIGHT, "mass") == "10000 lb"
