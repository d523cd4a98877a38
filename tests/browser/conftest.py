"""One headless browser for the tests of this folder, and a way to open a page in it that fails on whatever it objects to."""

from __future__ import annotations

from contextlib import contextmanager
from functools import cache
from pathlib import Path

import install_system
import pytest
from playwright.sync_api import sync_playwright

from browser.kinds import made

#: What keeps the browser itself from asking the network for anything.
QUIET = (
    "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
)  # fmt: skip
MISSING = (
    "There is no Chromium to open the pages in. Install it with: python3 tests/install_system.py\n"
    f"or name one in the variable {install_system.VARIABLE}."
)


@pytest.fixture(scope="package")
def browser():
    """Chromium, started once in each process of the tests. Stopped before other tests: its event loop is the thread's."""
    program = install_system.browser()
    if program is None:
        pytest.fail(MISSING, pytrace=False)
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=program, args=QUIET)
        yield started
        started.close()


@contextmanager
def opening(browser, folder):
    """A function that opens pages, and the list of what the browser then complains of; all is closed at the end."""
    contexts, complaints = [], []

    def open_(page, width=1200, height=900, scheme="light", script=True):
        file = page.resolve() if isinstance(page, Path) else folder / f"page-{len(contexts)}.html"
        if isinstance(page, str):
            file.write_text(page, "utf-8")
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme, java_script_enabled=script, offline=True
        )
        contexts.append(context)
        shown = context.new_page()
        shown.on("console", lambda said: said.type in ("error", "warning") and complaints.append(f"{said.type}: {said.text}"))
        shown.on("pageerror", lambda error: complaints.append(f"script: {error}"))
        shown.on("dialog", lambda dialog: (complaints.append(f"dialog: {dialog.message}"), dialog.dismiss()))
        shown.on("popup", lambda popup: complaints.append(f"popup: {popup.url}"))
        shown.on("request", lambda asked: asked.url != file.as_uri() and complaints.append(f"request: {asked.url}"))
        shown.goto(file.as_uri())
        return shown

    try:
        yield open_, complaints
    finally:
        for context in contexts:
            context.close()


@pytest.fixture
def opened(browser, tmp_path):
    """Opens an HTML text, or the file of a path, and gives Playwright's page.

    ``opened(page, width=1200, height=900, scheme="light", script=True)``. At the end of the test it fails on any warning or
    error in the console, any error of a script, any dialog, and any request but that for the file itself.
    """
    with opening(browser, tmp_path) as (open_, complaints):
        yield open_
    assert not complaints, "\n".join(complaints)


@pytest.fixture(scope="package")
def page_of(tmp_path_factory):
    """The path of the page of a kind; each is made once in each process."""
    return cache(lambda kind: made(kind, tmp_path_factory.mktemp(kind)))
