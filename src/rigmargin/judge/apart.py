"""Python that is not ours, in a process of its own: it may exit, hang, crash or print, and the run goes on.

Each outside file or plugin gets one child process (``apart_child``), which imports it, describes its rules and runs their
checks on the values sent to it. The rules that come back look like any other: their ``check`` asks the child. This keeps
accidents apart; it is no security boundary, since the child may do whatever the person who started it may do.
"""

from __future__ import annotations

import contextlib
import io
import logging
import os
import pickle
import signal
import struct
import subprocess
import sys
import threading
import time
import weakref
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, BinaryIO

from rigmargin.judge.rule import Answer, Rule
from rigmargin.judge.source import Brought, Failed
from rigmargin.loads.value import Piece, pieces

log = logging.getLogger(__name__)

LOAD_LIMIT = 10.0  # s, in which a file or plugin must have been imported and have given its rules
ANSWER_LIMIT = 5.0  # s, in which a rule must have answered about one subject
LEAST = 1.0  # s, that it is waited for at the least, however long it has had
_SIZE = struct.Struct(">I")
LARGEST = 4_000_000  # bytes of one message
#: What an answer may be made of, besides plain data.
_CLASSES = {
    "rigmargin.judge.rule": ("Agreement", "Comparison", "NotApplicable", "Remark", "Requirement", "Undecided"),
    "rigmargin.loads.linear": ("Input", "Linear"),
}
_START = "import sys; sys.path[:] = {path!r}; from rigmargin.judge.apart_child import main; main()"


class Outside:
    """One outside file or plugin and the child process in which it runs."""

    def __init__(self, kind: str, what: str, label: str) -> None:
        """Start it: ``kind`` "file" with a path, or "entry" with an entry point's ``module:name``; ``label`` names it to
        people. It loads while others do; ``brought`` waits for it."""
        self._job = (kind, what)
        self._label = label
        self._hung: dict[str, str] = {}  # by rule: why it is not asked again
        self._told: set[str] = set()  # what it printed, told once
        self._begin()

    def brought(self) -> Brought:
        """What it brings. Raises Failed."""
        described, files = self._loaded()
        rules = tuple(Rule(**fields, check=_Check(self, fields["id"], what)) for fields, what in described)
        return Brought(rules, tuple(map(Path, files)))

    def ask(self, rule: str, values: Mapping[str, Any]) -> Answer:
        """The answer of one of its rules to these values (SI). Raises Failed; a rule that hung once is not asked again."""
        if rule in self._hung:
            raise Failed(self._hung[rule])
        if self._process.poll() is not None:
            self._end()
            self._begin()
            self._loaded()
        kept = [piece for value in values.values() for piece in pieces(value)]
        try:
            with contextlib.suppress(OSError):  # as above
                self._send((rule, dict(values), kept))
            answer: Answer = self._reply(ANSWER_LIMIT, kept)
        except _Late:
            self._hung[rule] = f"it did not end within {ANSWER_LIMIT:g} s and was stopped; it was not asked again"
            raise Failed(self._hung[rule]) from None
        except _Gone as gone:
            self._hung[rule] = f"it {gone}; it was not asked again"
            raise Failed(self._hung[rule]) from None
        return answer

    def forget(self, rule: str) -> None:
        """Ask one of its rules again, even if it hung."""
        self._hung.pop(rule, None)

    def _begin(self) -> None:
        code = _START.format(path=[os.path.abspath(entry) for entry in sys.path if entry])
        self._process = subprocess.Popen(
            [sys.executable, "-I", "-B", "-c", code],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,  # so that what it starts can be ended with it
        )
        self._end = weakref.finalize(self, _end, self._process)
        self._began = time.monotonic()
        with contextlib.suppress(OSError):  # that it has ended already is found when its reply is awaited
            self._send(self._job)

    def _loaded(self) -> tuple[list[tuple[dict[str, Any], str]], list[str]]:
        try:
            left = max(LOAD_LIMIT - (time.monotonic() - self._began), LEAST)
            described, files = self._reply(left, [])
        except _Late:
            raise Failed(f"it did not end within {LOAD_LIMIT:g} s while it was loaded, and was stopped") from None
        except _Gone as gone:
            raise Failed(f"it {gone} while it was loaded") from None
        return described, files

    def _send(self, message: Any) -> None:
        assert self._process.stdin is not None
        send(self._process.stdin, pickle.dumps(message))

    def _reply(self, limit: float, kept: list[Piece]) -> Any:
        """Wait for the reply, ``limit`` seconds at most. Raises _Late, _Gone, Failed."""
        process, expired = self._process, threading.Event()
        assert process.stdout is not None

        def stop() -> None:
            expired.set()
            _kill(process)

        timer = threading.Timer(limit, stop)
        timer.start()
        try:
            reply = receive(process.stdout)
        except (OSError, EOFError):
            self._end()
            raise _Late if expired.is_set() else _Gone(f"ended its process (exit code {process.returncode})") from None
        finally:
            timer.cancel()
            timer.join()
        try:
            word, content, printed = _Replies(reply, kept).load()
        except Exception as error:  # the reply is a stranger's: anything may be in it
            raise Failed(f"its answer could not be read ({type(error).__name__}: {error})") from None
        if printed and printed not in self._told:
            self._told.add(printed)
            log.warning("rigmargin: warning: %s printed, which was kept out of the output: %r", self._label, printed)
        if word == "failed":
            raise Failed(content)
        return content


class _Late(Exception):
    """The child did not answer in time, and was ended."""


class _Gone(Exception):
    """The child ended before it answered; says how."""


def forget(rules: Iterable[Rule]) -> None:
    """Ask these rules again, hung or not: in a batch nothing may depend on which rig came first."""
    for rule in rules:
        if isinstance(rule.check, _Check):
            rule.check.forget()


class _Check:
    """Stands for the check of an outside rule: a call asks the child."""

    def __init__(self, outside: Outside, rule: str, what: str) -> None:
        self._outside, self._rule = outside, rule
        self.__doc__ = what

    def __call__(self, **values: Any) -> Answer:
        return self._outside.ask(self._rule, values)

    def forget(self) -> None:
        """Ask again, whatever became of it before."""
        self._outside.forget(self._rule)


class _Replies(pickle.Unpickler):
    """Reads a reply: only answers and numbers, and every number that was sent comes back as the very one it was."""

    def __init__(self, reply: bytes, kept: list[Piece]) -> None:
        super().__init__(io.BytesIO(reply))
        self._kept = kept

    def persistent_load(self, pid: Any) -> Piece:
        piece: Piece = self._kept[pid]
        return piece

    def find_class(self, module_name: str, global_name: str) -> Any:
        if global_name not in _CLASSES.get(module_name, ()):
            raise pickle.UnpicklingError(f"{module_name}.{global_name} is no part of an answer")
        return super().find_class(module_name, global_name)


def send(stream: BinaryIO | Any, content: bytes) -> None:
    """Write one message: its length, then itself. Raises OSError."""
    stream.write(_SIZE.pack(len(content)) + content)
    stream.flush()


def receive(stream: BinaryIO | Any) -> bytes:
    """Read one message. Raises EOFError when the other side is gone, OSError also for one that is too large."""
    head = stream.read(_SIZE.size)
    if len(head) < _SIZE.size:
        raise EOFError
    size = _SIZE.unpack(head)[0]
    if size > LARGEST:
        raise OSError(f"an answer of {size} bytes; at most {LARGEST} are taken")
    content: bytes = stream.read(size)
    if len(content) < size:
        raise EOFError
    return content


def _kill(process: subprocess.Popen[bytes]) -> None:
    """End the child and, where the system can, all that it started."""
    with contextlib.suppress(OSError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        process.kill()


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the child and let go of its pipes."""
    if process.returncode is None:  # not yet waited for, so that its number is still its own
        _kill(process)
    process.wait()
    for stream in (process.stdin, process.stdout):
        with contextlib.suppress(OSError):
            if stream is not None:
                stream.close()
