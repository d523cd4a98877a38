"""The fixture that the other tests rely on objects to what it should object to."""

import shutil

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


@pytest.fixture
def bare(monkeypatch, tmp_path):
    """A system with nothing on PATH but stand-ins for its package tools, which write down how they were called."""
    log = tmp_path / "log"

    def program(name, text):
        (tmp_path / name).write_text(f"#!/bin/sh\n{text}\n", "utf-8")
        (tmp_path / name).chmod(0o755)

    for name in ("env", "sh", "touch", "chmod"):
        (tmp_path / name).symlink_to(shutil.which(name))
    program("dpkg-query", "exit 1")
    installed = " ".join(f"{tmp_path}/{name}" for name in install_system.PROGRAMS)
    program("apt-get", f'echo "$DEBIAN_FRONTEND $*" >> {log}\ntouch {installed}\nchmod +x {installed}')
    program("sudo", f'echo "sudo $1" >> {log}\nexec "$@"')
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv(install_system.VARIABLE, raising=False)
    return lambda: log.read_text("utf-8").splitlines() if log.exists() else []


@pytest.mark.parametrize(("user", "before"), [(0, []), (1000, ["sudo env"])])
def test_what_is_missing_is_installed_once_the_lists_are_new(bare, monkeypatch, user, before):
    monkeypatch.setattr("os.geteuid", lambda: user)
    assert install_system.main() == 0
    update, install = [line for line in bare() if line not in before]
    assert bare().count("sudo env") == 2 * len(before)
    assert update.startswith("noninteractive") and update.endswith(" update")
    assert " install --no-install-recommends chromium" in install
    assert install.split()[-len(install_system.PACKAGES) :] == list(install_system.PACKAGES)


def test_without_root_and_sudo_the_command_is_said(bare, monkeypatch, tmp_path, capsys):
    monkeypatch.setattr("os.geteuid", lambda: 1000)
    (tmp_path / "sudo").unlink()
    assert install_system.main() == 1
    assert bare() == []
    assert "As root: apt-get update && apt-get install chromium" in capsys.readouterr().err


def test_where_there_is_no_apt_it_is_said_what_to_install(bare, tmp_path, capsys):
    (tmp_path / "apt-get").unlink()
    assert install_system.main() == 1
    assert "neither Debian nor Ubuntu" in capsys.readouterr().err
