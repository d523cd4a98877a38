"""Pictures of the pages for the docs, at the widths of a phone, a tablet and a desk.

``python tests/screenshots.py`` makes them anew, with the browser that the tests use. Browsers and fonts differ between
machines, so the tests do not compare pictures: they hold that each was made of the page as it is today, by the page's digest.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from tempfile import TemporaryDirectory

import install_system
from generate import CLUB, EXAMPLES, TOP
from playwright.sync_api import sync_playwright

from rigmargin.judge.run import judge
from rigmargin.report import pages
from rigmargin.spec.rig import load

PICTURES = TOP / "docs" / "pictures"
SOURCES = PICTURES / "sources.txt"
WIDTHS, HEIGHT = (360, 768, 1200), 900


def shown() -> dict[str, str]:
    """The pages that have pictures, by name."""
    return {
        "report": pages.html(judge(load(EXAMPLES / "alder-creek-fifth-wheel.yaml"))),
        "club": (TOP / "docs" / "examples" / CLUB / "index.html").read_text("utf-8"),
    }


def sources() -> str:
    """What the pictures must have been made of: a line for each page, with its digest."""
    return "".join(f"{name} {hashlib.sha256(page.encode()).hexdigest()}\n" for name, page in shown().items())


def picture(name: str, width: int) -> Path:
    """Where the picture of a page at a width lies."""
    return PICTURES / f"{name}-{width}.png"


def main() -> None:
    """Make every picture."""
    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as driver, TemporaryDirectory() as folder:
        browser = driver.chromium.launch(executable_path=install_system.browser(), args=install_system.QUIET)
        for name, page in shown().items():
            file = Path(folder, f"{name}.html")
            file.write_text(page, "utf-8")
            for width in WIDTHS:
                tab = browser.new_page(viewport={"width": width, "height": HEIGHT}, color_scheme="light", offline=True)
                tab.goto(file.as_uri())
                tab.screenshot(path=picture(name, width))
                tab.close()
                print(picture(name, width).relative_to(TOP))
        browser.close()
    SOURCES.write_text(sources(), "utf-8")


if __name__ == "__main__":
    main()
