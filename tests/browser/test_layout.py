"""No page scrolls sideways, nothing is cut, and the drawing's letters stay legible and apart, from a phone to a wide screen."""

import pytest
from club_repository import EXAMPLES
from rigs import COMPUTED, rig

from browser.kinds import BUILDS, RICH
from browser.test_accessible import UNFOLD
from rigmargin.judge.run import judge
from rigmargin.report import pages
from rigmargin.spec.rig import load

WIDTHS = (360, 768, 1200)
#: Text that ends beyond the page's edge or its own box. What is for a screen reader only (.word) and what scrolls for itself
#: are apart: such a box must be one that the keyboard reaches and that has a name.
CUT = """() => {
  const wrong = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), range = document.createRange();
  const scrolls = (one) => ["auto", "scroll"].includes(getComputedStyle(one).overflowX);
  const boxes = (one, found = []) => one ? boxes(one.parentElement, [...found, one]) : found;
  for (let text = walk.nextNode(); text; text = walk.nextNode()) {
    const parents = boxes(text.parentElement);
    const shown = text.data.trim() && text.parentElement.checkVisibility();
    if (!shown || parents.some((one) => one.matches(".word, script, svg"))) continue;
    range.selectNodeContents(text);
    const within = parents.find((one) => scrolls(one));
    const clip = parents.find((one) => getComputedStyle(one).overflowX !== "visible");
    for (const box of range.getClientRects()) {
      const right = within ? Infinity : clip ? Math.min(innerWidth, clip.getBoundingClientRect().right) : innerWidth;
      if (box.right <= right + 0.5 && (within || box.left >= -0.5)) continue;
      wrong.push(`cut: ${text.data.trim().slice(0, 80)}`);
      break;
    }
  }
  for (const one of document.querySelectorAll("body *"))
    if (scrolls(one) && one.scrollWidth > one.clientWidth + 1 && !(one.tabIndex === 0 && one.getAttribute("aria-label")))
      wrong.push(`scrolls, and is neither named nor reached: ${one.outerHTML.slice(0, 80)}`);
  return wrong;
}"""
#: The drawing's texts: their height in pixels as shown, and their boxes.
TEXTS = """() => [...document.querySelectorAll(".drawing svg text")].map((one) => {
  const box = one.getBoundingClientRect(), scale = one.getScreenCTM().a, edge = one.ownerSVGElement.getBoundingClientRect();
  return {text: one.textContent, size: parseFloat(getComputedStyle(one).fontSize) * scale,
          box: [box.left, box.top, box.right, box.bottom], edge: [edge.left, edge.right]};
})"""
#: CSS pixels. Browsers take 16 for running text; a single bold letter that stands again in the list beneath may be smaller.
LEGIBLE = 11


@pytest.mark.parametrize("kind", [*BUILDS, *RICH])
def test_no_page_scrolls_sideways_and_nothing_is_cut(kind, opened, page_of):
    page = opened(page_of(kind))
    page.evaluate(UNFOLD)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.scrollingElement.scrollWidth") <= width, width
        assert page.evaluate(CUT) == [], width


def test_what_is_cut_is_found(opened):
    page = opened(
        "<!doctype html><p style='width:900px'>" + "word " * 60 + "<p style='overflow:hidden;width:50px;white-space:nowrap'>"
        "a long line that is hidden"
    )
    page.set_viewport_size({"width": 360, "height": 800})
    assert [line[:10] for line in page.evaluate(CUT)] == ["cut: word ", "cut: a lon"]


@pytest.mark.parametrize("file", sorted(EXAMPLES.glob("*.yaml")), ids=lambda file: file.stem)
def test_the_letters_of_the_drawing_are_legible_on_a_phone_and_do_not_overlap(file, opened):
    page = opened(pages.html(judge(load(file))), width=360)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        texts = page.evaluate(TEXTS)
        for number, one in enumerate(texts):
            assert one["size"] >= LEGIBLE, (width, one)
            assert one["edge"][0] <= one["box"][0] and one["box"][2] <= one["edge"][1], (width, one)
            for other in texts[:number]:
                assert _apart(one["box"], other["box"]), (width, one, other)


def _apart(one, other):
    """Whether two boxes have no pixel in common."""
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_a_figure_beside_a_right_to_left_name_stands_where_it_is_written(opened):
    name = {"נוסע 2": {"mass": "150 lb", "person": "yes", "at": "60 in"}}
    page = opened(pages.html(judge(rig(**COMPUTED | {"tow_vehicle": COMPUTED["tow_vehicle"] | {"load": name}}))))
    page.evaluate(UNFOLD)
    order = page.evaluate("""() => {
      const said = [...document.querySelectorAll("li, p")].find((one) => /נוסע 2.*150\\s*lb/.test(one.textContent));
      const walk = document.createTreeWalker(said, NodeFilter.SHOW_TEXT), range = document.createRange();
      const left = (text, at) => (range.setStart(text, at), range.setEnd(text, at + 1), range.getBoundingClientRect().left);
      let name, number;
      for (let text = walk.nextNode(); text; text = walk.nextNode()) {
        if (text.data.includes("נוסע")) name = left(text, text.data.indexOf("נוסע"));
        const first = name !== undefined && number === undefined;
        if (first && text.data.includes("150")) number = left(text, text.data.indexOf("150"));
      }
      return [name, number];
    }""")
    assert order[0] < order[1]
