"""The site of the documentation in a browser: it asks for its own files only, complains of nothing, and fits a telephone."""

import pytest


@pytest.fixture
def shown(browser, site):
    """A page without a network, and what it asks for or complains of that is not as it should be."""
    context = browser.new_context(offline=True)
    page, wrong = context.new_page(), []
    ours = site.resolve().as_uri()
    page.on("console", lambda said: said.type in ("error", "warning") and wrong.append(f"{said.type}: {said.text}"))
    page.on("pageerror", lambda error: wrong.append(f"script: {error}"))
    page.on("request", lambda asked: asked.url.startswith((ours, "data:")) or wrong.append(f"request: {asked.url}"))
    yield page
    context.close()
    assert wrong == []


def test_every_page_fits_a_telephone_and_asks_for_nothing_from_elsewhere(shown, site):
    shown.set_viewport_size({"width": 360, "height": 800})
    for file in (site / "README.html", site / "DEVELOPERS.html", *sorted((site / "docs").rglob("*.html"))):
        shown.goto(file.resolve().as_uri())
        assert shown.evaluate("document.scrollingElement.scrollWidth") <= 360, file.name


def test_the_search_finds_a_page_from_the_disk(shown, site):
    shown.goto(f"{(site / 'search.html').resolve().as_uri()}?q=springs")
    shown.wait_for_selector("ul.search li a")
    found = [link.get_attribute("href") for link in shown.query_selector_all("ul.search li a")]
    assert any("docs/suspension.html" in link for link in found)


def test_the_first_file_opens_the_index(shown, site):
    shown.goto((site / "index.html").resolve().as_uri())
    shown.wait_for_url("**/docs/index.html")
    assert shown.locator("h1").first.inner_text().startswith("rigmargin: documentation")
