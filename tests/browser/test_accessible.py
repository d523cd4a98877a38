"""The accessibility checker axe-core finds nothing on any kind of page, in light and in dark."""

import pytest
from axe_playwright_python.base import AXE_SCRIPT

from browser.kinds import BUILDS, RICH

UNFOLD = "document.querySelectorAll('details').forEach((one) => { one.open = true; })"


def violations(page, **options):
    """What axe-core objects to: its rule, and the first elements."""
    page.evaluate(AXE_SCRIPT)
    found = page.evaluate(
        "(options) => axe.run(document, options)", {"resultTypes": ["violations"], "preload": False, **options}
    )
    return [
        f"{one['id']} ({one['impact']}): {one['help']}"
        + "".join(f"\n  {node['html'][:160]} {node['failureSummary'][:300]}" for node in one["nodes"][:3])
        for one in found["violations"]
    ]


@pytest.mark.parametrize("kind", [*BUILDS, *RICH])
def test_axe_finds_nothing(kind, opened, page_of):
    page = opened(page_of(kind))
    page.evaluate(UNFOLD)
    assert violations(page) == []
    page.emulate_media(color_scheme="dark")  # where only the colours differ, as on a phone all else does
    assert violations(page, runOnly=["color-contrast"]) == [], "in dark"
    if kind not in BUILDS:
        return
    page.set_viewport_size({"width": 360, "height": 700})
    assert violations(page, rules={"color-contrast": {"enabled": False}}) == [], "on a phone"


def test_it_would_find_what_is_wrong(opened):
    page = opened("<!doctype html><title>x</title><main><h3>grey</h3><p style='color:#aaa'>pale<button></button></main>")
    assert {line.split()[0] for line in violations(page)} >= {"html-has-lang", "color-contrast", "button-name"}
