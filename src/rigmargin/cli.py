"""Arguments in, exit code out. No arithmetic, no wording of verdicts."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from rigmargin.arguments import parser
from rigmargin.commands.common import FORMATS, UNREADABLE, USAGE, NoRules, NoSettings, ending_known, unheard


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the result is the exit code."""
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115  # closed by who started it
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115  # the same
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that cannot show a mark still gets the word
    given, paths = _paths_apart(list(sys.argv[1:] if arguments is None else arguments))
    chosen = parser().parse_args(given, argparse.Namespace(paths=paths))
    if getattr(chosen, "to", None) and not ending_known(chosen.to, getattr(chosen, "endings", FORMATS)):
        return USAGE
    code: int = 0
    try:
        code = chosen.run(chosen)
        sys.stdout.flush()
        return code
    except NoSettings as unusable:
        return unusable.code
    except NoRules as wrong:
        print(f"rigmargin: {wrong}", file=sys.stderr)
        return UNREADABLE
    except BrokenPipeError:  # the reader (less, head) has gone; nothing more to say
        unheard()
        return code
    except KeyboardInterrupt:
        print("rigmargin: stopped", file=sys.stderr)
        return 130


def _paths_apart(arguments: list[str]) -> tuple[list[str], list[str]]:
    """The arguments of ``changes`` up to ``--``, and the files and folders behind it; of other commands, all arguments."""
    at = arguments.index("--") if arguments[:1] == ["changes"] and "--" in arguments else len(arguments)
    return arguments[:at], arguments[at + 1 :]
