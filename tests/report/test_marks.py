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


def test_a_word_is_an_element_that_names_its_term():
    said = marks.word("tongue weight", "coupling_load", "word")
    assert marks.elements(f"<p>The {said} is</p>") == '<p>The <span data-word="coupling_load word">tongue weight</span> is</p>'


@pytest.mark.parametrize(("change", "form", "text"), [("W", "Word", "Tongue weight"), ("w", "word", "tongue weight")])
def test_the_first_letter_of_a_marked_word_can_be_changed(change, form, text):
    said = marks.first_letter(marks.word("tongue weight", "coupling_load", "word") + " is", change)
    assert marks.elements(said) == f'<span data-word="coupling_load {form}">{text}</span> is'


def test_a_label_that_says_what_stands_beside_it_is_held_back():
    told, other = (marks.label(" (GVWR)", ("tow_max_mass",), off=off) for off in (True, False))
    assert marks.elements(f"<p>a{told}</p>") == '<p>a<span data-label="tow_max_mass" hidden> (GVWR)</span></p>'
    assert marks.elements(f"<p>a{other}</p>") == '<p>a<span data-label="tow_max_mass"> (GVWR)</span></p>'
    assert marks.plain(f"a{told}") == "a"
    assert marks.plain(f"a{other}") == "a (GVWR)"


def test_marks_are_wanted_only_while_a_page_is_written():
    assert not marks.are_wanted()
    with marks.wanted():
        assert marks.are_wanted()
    assert not marks.are_wanted()


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
