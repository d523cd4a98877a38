"""The fixture that the other tests rely on objects to what it should object to."""

import install_system
import pytest

from browser.conftest import opening

CLEAN = "<!doctype html><html lang=en><meta charset=utf-8><title>x</title><p>a page"
BAD = {
    "warning": "<script>console.warn('a warning of its own')</script>",
    "script": "<script>nobody.knows()</script>",
    "request": "<img src='http://192.0.2.1/x.png' alt=x>",
    "dialog": "<script>alert(1)</script>",
}


@pytest.mark.parametrize("kind", BAD)
def test_what_a_browser_objects_to_fails_a_test(kind, complaints):
    assert kind in complaints(CLEAN + BAD[kind])


def test_a_page_that_is_in_order_does_not(complaints):
    assert complaints(CLEAN) == []


@pytest.fixture
def complaints(browser, tmp_path):
    """Opens a page as the fixture does, and gives what the fixture says at the end."""

    def said(page):
        with opening(browser, tmp_path) as (open_, heard):
            open_(page)
        return [one.partition(":")[0] for one in heard]

    return said


def test_the_browser_is_named_by_a_variable_or_found_on_path(monkeypatch, tmp_path):
    program = tmp_path / "chromium"
    program.write_text("#!/bin/sh\n", "utf-8")
    program.chmod(0o755)
    monkeypatch.delenv(install_system.VARIABLE, raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert install_system.browser() == str(program)
    monkeypatch.setenv(install_system.VARIABLE, str(tmp_path / "absent"))
    assert install_system.browser() is None
