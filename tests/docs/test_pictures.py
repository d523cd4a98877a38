"""The pictures of the docs are there, of their width, small, shown somewhere, and made of the pages as they are today."""

import struct

import pytest
import screenshots
from docblocks import TOP

PICTURES = [(name, width) for name in screenshots.shown() for width in screenshots.WIDTHS]


@pytest.mark.parametrize(("name", "width"), PICTURES)
def test_a_picture_has_its_width_and_is_small(name, width):
    raw = screenshots.picture(name, width).read_bytes()
    assert raw[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", raw[16:24]) == (width, screenshots.HEIGHT)  # the PNG standard: the header's first fields
    assert len(raw) < 256 * 1024
    assert f"](pictures/{name}-{width}.png)" in (TOP / "docs" / "pictures.md").read_text("utf-8")


def test_the_pictures_were_made_of_todays_pages():
    assert screenshots.SOURCES.read_text("utf-8") == screenshots.sources(), "run: python tests/screenshots.py, and look at them"
