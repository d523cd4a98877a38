"""Run what the documentation shows: its files are written, its commands are run, its output is compared.

A fenced block is acted on when it says so:

- a block whose first line is ``# file: NAME`` is written to that file, without the line; ``# append to: NAME`` adds to it;
- in a ``console`` block a line that begins with ``$ `` is run by the shell, and the lines up to the next are what it must
  print. ``...`` stands for anything; runs of blanks and line breaks count as one blank, so that a table may be narrower on
  the page;
- what the line above calls ``<!-- from: FILE -->`` is quoted: its lines stand in that file, in that order.

``KINDS`` are the few others, each with what becomes of it. Nothing else may stand on a page.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).parent.parent
#: The pages that a person wrote, or a generator for people to read; an example's generated reports are not among them.
PAGES = sorted(
    [TOP / "README.md", TOP / "DEVELOPERS.md", *(TOP / "docs").glob("*.md"), *(TOP / "docs" / "examples").glob("*/README.md")]
)
_FENCE = re.compile(r"(?:^<!-- (.+) -->\n)?^( *)(```+|~~~+)(.*)\n(?s:(.*?))^\2\3$", re.MULTILINE)
#: Blocks that are neither written, run nor quoted, by the comment above them, and what becomes of them.
KINDS = {
    "test command": "run by .ci/run, from nothing",
    "set up": "makes an environment of what the network has; what it does there is run by a test",
    "talk": "asks at the keyboard; run with nothing typed",
}
_FILE = re.compile(r"# (file|append to): (\S+)\n")


@dataclass(frozen=True)
class Block:
    """One fenced block."""

    language: str
    text: str
    line: int  # of its fence
    mark: str = ""  # what a comment in the line above says of it

    @property
    def quoted(self) -> str:
        """The file it is quoted from; empty when it is no quotation."""
        return self.mark.removeprefix("from: ") if self.mark.startswith("from: ") else ""

    @property
    def file(self) -> str:
        """The file it is written to; empty when it is none."""
        named = _FILE.match(self.text)
        return named[2] if named else ""

    @property
    def treatment(self) -> str:
        """What is done with it; empty when nothing is, which no page may have."""
        if self.file:
            return "written"
        if self.language == "console":
            return "run"
        return "quoted" if self.quoted else KINDS.get(self.mark, "")


def blocks(page: Path) -> list[Block]:
    """The fenced blocks of a page."""
    text = page.read_text("utf-8")
    found = []
    for m in _FENCE.finditer(text):
        line = text.count("\n", 0, m.start(3)) + 1
        found.append(Block(m[4].strip(), m[5], line, m[1] or ""))
    return found


def play(page: Path, folder: Path, **environment: str) -> int:
    """Do in ``folder`` what the page says, from top to bottom; how many commands were run and compared."""
    done = 0
    for block in blocks(page):
        if block.file:
            named = _FILE.match(block.text)
            assert named
            target = folder / block.file
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("a" if named[1] == "append to" else "w", encoding="utf-8") as stream:
                stream.write(block.text[named.end() :])
        elif block.language == "console":
            for command, expected in _steps(block):
                got = run(command, folder, **environment)
                where = f"{page.name}:{block.line}: $ {command}"
                assert matches(expected, got), f"{where}\n--- the page says\n{expected}\n--- it printed\n{got}"
                done += 1
    return done


def _steps(block: Block) -> list[tuple[str, str]]:
    first, *rest = re.split(r"^\$ ", block.text, flags=re.MULTILINE)
    assert not first.strip(), f"a console block begins with a command (line {block.line})"
    return [(step.split("\n", 1)[0], step.split("\n", 1)[1]) for step in rest]


def run(command: str, folder: Path, **environment: str) -> str:
    """What a command prints, on both streams, with this environment's own programs first; ``.venv/bin/`` stands for them."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    own = {**os.environ, "PATH": path, "COLUMNS": "120", "PYTHONIOENCODING": "utf-8", **environment}
    own.pop("NO_COLOR", None)
    done = subprocess.run(
        ["sh", "-c", command.replace(".venv/bin/", "")], cwd=folder, env=own, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        encoding="utf-8", check=False, timeout=120,
    )  # fmt: skip
    return done.stdout


def matches(expected: str, got: str) -> bool:
    """Whether ``got`` is what ``expected`` says, ``...`` standing for anything and blanks for any blanks.

    A blank beside the ``...`` means that no word is cut there: ``... 60 lb`` is not the end of ``160 lb``.
    """
    return re.fullmatch(rf"\s*{'.*?'.join(map(_pattern, expected.strip().split('...')))}\s*", got, re.DOTALL) is not None


def _pattern(part: str) -> str:
    words = r"\s+".join(map(re.escape, part.split()))
    before = r"(?<!\S)" if part[:1].isspace() else ""
    after = r"(?!\S)" if part[-1:].isspace() else ""
    return f"{before}{words}{after}"
