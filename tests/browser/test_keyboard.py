"""Tab alone reaches every control in reading order and shows it, Enter and Space work it, and nothing holds one fast."""

import pytest

from browser.kinds import BUILDS

#: What a person can work or has to reach, in the order of the page. A region that scrolls is reached too.
CONTROLS = """() => [...document.querySelectorAll(
  "a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex='-1'])"
)].filter((one) => one.checkVisibility({visibilityProperty: true}) && !one.disabled)"""
#: Each control's number beside it, so that the one that has the focus can be named.
NUMBER = f"""() => {{ const all = ({CONTROLS})(); all.forEach((one, at) => {{ one.dataset.at = at; }}); return all.length; }}"""
#: Where the focus is: the number, how it is marked, and the box. Nothing when it has left the controls.
FOCUS = """() => {
  const one = document.activeElement, style = getComputedStyle(one), box = one.getBoundingClientRect();
  return one.dataset.at === undefined ? null : {
    at: +one.dataset.at, html: one.outerHTML.slice(0, 120), line: style.outlineStyle, width: parseFloat(style.outlineWidth),
    top: box.top + scrollY, bottom: box.bottom + scrollY, seen: box.bottom > 0 && box.top < innerHeight,
  };
}"""


def _walk(page, presses, key="Tab"):
    """What has the focus after each press of a key."""
    for _ in range(presses):
        page.keyboard.press(key)
        yield page.evaluate(FOCUS)


@pytest.mark.parametrize("kind", BUILDS)
def test_tab_reaches_every_control_in_reading_order_and_shows_where_it_is(kind, opened, page_of):
    page = opened(page_of(kind), width=768)
    number = page.evaluate(NUMBER)
    seen = list(_walk(page, number))
    assert [focus and focus["at"] for focus in seen] == list(range(number))
    for before, focus in zip([None, *seen], seen, strict=False):
        assert focus["line"] == "solid" and focus["width"] >= 2, focus["html"]
        assert focus["seen"], f"{focus['html']} has the focus and is not on the screen"
        assert before is None or focus["bottom"] > before["top"], f"{focus['html']} stands above the one before it"
    back = list(_walk(page, number - 1, "Shift+Tab"))
    assert [focus["at"] for focus in back] == list(range(number - 1))[::-1]


@pytest.mark.parametrize("kind", ["report", "compare"])
def test_enter_and_space_unfold_and_fold(kind, opened, page_of):
    page = opened(page_of(kind))
    for start in ("details:not([open])", "details[open]"):
        details = page.locator(start).first.element_handle()
        was = details.evaluate("(one) => one.open")
        details.query_selector("summary").focus()
        for key, now in (("Enter", not was), ("Space", was), ("Space", not was)):
            page.keyboard.press(key)
            assert details.evaluate("(one) => one.open") is now, (start, key)


def test_the_clubs_index_is_sorted_and_sifted_by_keyboard(opened, page_of):
    page = opened(page_of("club"))
    names = "[...document.querySelectorAll('.rigs tbody tr:not([hidden])')].map((row) => row.dataset.name)"
    first = page.evaluate(names)
    page.locator(".rigs th[data-sort=name] button").focus()
    page.keyboard.press("Enter")
    assert page.evaluate(names) == sorted(first, key=str.casefold)
    page.keyboard.press("Space")
    assert page.evaluate(names) == sorted(first, key=str.casefold, reverse=True)
    assert page.locator(".rigs th[data-sort=name]").get_attribute("aria-sort") == "descending"
    page.locator("input[name=words]").focus()
    page.keyboard.type("hazel")
    assert page.evaluate(names) == ["Hazel Cross"]
    assert page.get_by_role("status").inner_text() == f"1 of {len(first)}"
    page.locator("input[name=words]").fill("")
    page.locator("select[name=verdict]").focus()
    page.keyboard.type("outside")
    assert page.evaluate(names) == ["Elm Rise"]
    page.keyboard.press("Enter")  # in a form: it must not send itself anywhere
    assert page.evaluate(names) == ["Elm Rise"]


def test_every_link_of_the_clubs_index_leads_to_a_page_with_the_rigs_name(opened, page_of):
    index = page_of("club")
    page = opened(index)
    links = page.evaluate(
        "[...document.querySelectorAll('.rigs a')].map((one) => [one.getAttribute('href'), one.closest('tr').dataset.name])"
    )
    assert len(links) > 11
    for link, name in links:
        assert f"<h1>{name}</h1>" in (index.parent / link).read_text("utf-8")
