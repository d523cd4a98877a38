"""Where the answers come from: a person at a terminal, line by line, or a file that was written beforehand."""

from __future__ import annotations

from collections import deque
from pathlib import Path

from rigmargin.spec.problem import FileProblems, Problem, printable, shown
from rigmargin.start import questions
from rigmargin.start.questions import Question
from rigmargin.start.session import Left


def typed(question: Question) -> str:
    """A line from the terminal; the end of input and an interruption are both a person who leaves. Raises Left."""
    import click

    try:
        return str(click.prompt("Answer", default="", show_default=False))
    except click.Abort:
        raise Left from None


#: What is expected of a line of answers and the cure: where no question asks for its path, and where it has none.
NOT_ASKED = "the path of something that is asked, a colon and the answer", "delete the line, and write that into the rig file"
NO_PATH = "a path, a colon and the answer", "write for example: tow_vehicle.max_mass: 7050 lb"


class Script:
    """Answers from a file: on each line a question's path, a colon and what would be typed.

    A line that names the same question again is the answer to its being asked again. A question that the file does not
    name is left out.
    """

    def __init__(self, lines: dict[str, deque[str]]) -> None:
        self._lines = lines

    def __call__(self, question: Question) -> str:
        """The next answer, shown as if it were typed. Raises Left."""
        waiting = self._lines.get(question.ask)
        if not waiting and question.needed:
            raise Left  # it would be asked for ever
        line = waiting.popleft() if waiting else ""
        print(f"Answer: {printable(line)}", flush=True)
        return line

    @property
    def unasked(self) -> tuple[str, ...]:
        """The questions whose answers were not asked for, or not all."""
        return tuple(ask for ask, lines in self._lines.items() if lines)


def script(path: str) -> Script:
    """The answers in a file. Raises FileProblems with every line that names no question."""
    try:
        text = Path(path).read_text("utf-8-sig")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no text in UTF-8"
        found = f"no readable file ({reason.lower()})"
        raise FileProblems([Problem(path, 0, 0, "", found, "a file of answers", "check the name")]) from None
    known = {each.ask for each in questions.every()}
    lines: dict[str, deque[str]] = {}
    wrong = []
    for number, line in enumerate(text.splitlines(), 1):
        ask, colon, answer = line.partition(":")
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not colon or ask.strip() not in known:
            expected, cure = NOT_ASKED if colon else NO_PATH
            wrong.append(Problem(path, number, 1, "", shown(line), expected, cure))
            continue
        lines.setdefault(ask.strip(), deque()).append(answer.strip())
    if wrong:
        raise FileProblems(wrong)
    return Script(lines)
