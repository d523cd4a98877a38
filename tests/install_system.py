"""Make sure that what the tests need from the system, and PyPI does not ship, is there: a browser, fonts, the PDF's libraries.

``python3 tests/install_system.py`` installs the Debian packages that are missing, as root or with sudo, and does nothing when
all is there. It needs Python only, so that it can run before anything is installed.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

#: The browser that the tests drive: the variable that names it, or else one of these programs on PATH.
VARIABLE, PROGRAMS = "RIGMARGIN_CHROMIUM", ("chromium", "chromium-browser")
#: The packages besides the browser, and what they are for.
PACKAGES = {
    "fonts-dejavu-core": "the letters and marks of the pages",
    "libpango-1.0-0": "text in PDFs",
    "libpangoft2-1.0-0": "text in PDFs",
    "libharfbuzz-subset0": "fonts in PDFs",
}


def browser() -> str | None:
    """The path of the browser, or None where there is none."""
    named = os.environ.get(VARIABLE)
    return shutil.which(named) if named else next(filter(None, map(shutil.which, PROGRAMS)), None)


def _installed(package: str) -> bool:
    asked = subprocess.run(["dpkg-query", "-W", "-f=${Status}", package], capture_output=True, text=True, check=False)
    return asked.stdout == "install ok installed"


def _missing() -> list[str]:
    """The packages to install; which package holds the browser depends on the system."""
    wanted = [] if browser() else ["chromium" if _is_debian() else "chromium-browser"]
    return wanted + [package for package in PACKAGES if not _installed(package)]


def _is_debian() -> bool:
    with open("/etc/os-release", encoding="utf-8") as lines:
        return "ID=debian\n" in lines


def main() -> int:
    """Install what is missing; the exit code."""
    if not (shutil.which("apt-get") and shutil.which("dpkg-query")):
        if browser():
            return 0
        print(
            f"The tests need Chromium{''.join(f', {name} ({use})' for name, use in PACKAGES.items())}. This is neither Debian "
            f"nor Ubuntu: install them by this system's own means, and name the browser in {VARIABLE} unless it is on PATH as "
            f"{' or '.join(PROGRAMS)}.",
            file=sys.stderr,
        )
        return 1
    wanted = _missing()
    if not wanted:
        return 0
    before = [] if os.geteuid() == 0 else ["sudo"]
    if before and not shutil.which("sudo"):
        print(f"As root: apt-get update && apt-get install {' '.join(wanted)}", file=sys.stderr)
        return 1
    quiet = [*before, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-q", "-y", "-o", "Dpkg::Use-Pty=0"]
    for command in ([*quiet, "update"], [*quiet, "install", "--no-install-recommends", *wanted]):
        print("+", " ".join(command), flush=True)
        failed = subprocess.run(command, stdout=subprocess.DEVNULL, check=False).returncode
        if failed:
            return failed
    if browser():
        return 0
    print(f"{wanted[0]} is installed, and still no browser is on PATH; name it in {VARIABLE}", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
