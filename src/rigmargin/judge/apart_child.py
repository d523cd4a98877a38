"""The child's side of ``apart``: import one outside file or plugin, describe its rules, run their checks until told no more.

Standard output and error go to a scratch file before anything of the stranger's runs, so that what it prints reaches nobody's
report; the two pipes to the parent are kept under other numbers.
"""

from __future__ import annotations

import ast
import contextlib
import dataclasses
import importlib.metadata
import importlib.util
import io
import math
import os
import pickle
import sys
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO

from rigmargin.judge import hooks
from rigmargin.judge.apart import receive, send
from rigmargin.judge.rule import (
    Agreement,
    Comparison,
    NotApplicable,
    Remark,
    Requirement,
    Rule,
    RuleError,
    Undecided,
    rules_in,
)
from rigmargin.loads.value import expanded, nominal

try:
    import resource
except ImportError:  # not on every system
    resource = None  # type: ignore[assignment]  # no module, and asked for before it is used

_ANSWERS = (Comparison, Requirement, Agreement, Remark, NotApplicable, Undecided)
MOST = 200  # characters of what was printed that are told
ROOM = 1_000_000  # bytes that may be printed, and that any file it writes may have, where the system can say so


def main() -> None:
    """Serve the parent until it closes the pipe."""
    requests, replies = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    with tempfile.TemporaryFile() as scratch, open(os.devnull, "rb") as nothing:
        os.dup2(nothing.fileno(), 0)
        os.dup2(scratch.fileno(), 1)
        os.dup2(scratch.fileno(), 2)
        if resource is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (ROOM, ROOM))
        kind, what = pickle.loads(receive(requests))
        rules: dict[str, Rule] = {}

        def load() -> tuple[list[tuple[dict[str, Any], str]], list[str]]:
            found, files = (from_file(Path(what)), []) if kind == "file" else from_entry(what)
            rules.update((rule.id, rule) for rule in found)
            return [_described(rule) for rule in found], files

        _reply(replies, scratch, what, load, [])
        while True:
            try:
                name, values, kept = pickle.loads(receive(requests))
            except EOFError:
                return
            _reply(replies, scratch, what, lambda: _answer(rules[name], values), kept)  # noqa: B023  # called at once


def from_file(path: Path) -> list[Rule]:
    """The rules of a Python file. Other files of its folder can be imported, but never in place of anything installed."""
    sys.path.append(str(path.parent))
    spec = importlib.util.spec_from_file_location(f"rigmargin_local_{path.stem.replace('-', '_')}", path)
    assert spec is not None and spec.loader is not None  # it is a .py file
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    found, twice = rules_in(module), _defined_twice(path.read_bytes())
    if twice:
        raise RuleError(f"two functions in it are called {twice}, so that the first is lost; give each a name of its own")
    if not found:
        raise RuleError("it brings no rules: no function in it is marked with @rule")
    return found


def _defined_twice(text: bytes) -> str:
    """The name of a function that stands in a file, marked, more than once; Python would keep the last and say nothing."""
    marked = [node.name for node in ast.parse(text).body if isinstance(node, ast.FunctionDef) and node.decorator_list]
    return next((name for name in marked if marked.count(name) > 1), "")


def from_entry(value: str) -> tuple[list[Rule], list[str]]:
    """The rules of an installed plugin, by its entry point's value, and the paths of its regulation files."""
    rules, files = hooks.ask(importlib.metadata.EntryPoint("plugin", value, hooks.GROUP).load(), value)
    for file in files:
        if not isinstance(file, Path):
            raise RuleError(f"its regulations {file!r} are no file or folder on disk")
    return rules, [str(file) for file in files]


def _described(rule: Rule) -> tuple[dict[str, Any], str]:
    """A rule's fields but the function itself, and what the function says it checks."""
    fields = {field.name: getattr(rule, field.name) for field in dataclasses.fields(rule) if field.name != "check"}
    return fields | {"each": {k: dict(v) for k, v in rule.each.items()}, "needs": dict(rule.needs)}, rule.what


def _answer(rule: Rule, values: dict[str, Any]) -> Any:
    answer = rule.check(**values)
    if not isinstance(answer, _ANSWERS):
        raise TypeError(f"it answered {answer!r}, which is not one of the answers a rule may give")
    for field in dataclasses.fields(answer):
        _fits(field.name, field.type, getattr(answer, field.name))
    return answer


def _fits(name: str, kind: Any, value: Any) -> None:
    """Raises TypeError for a part of an answer that is not of its kind, or no finite number."""
    kinds = str(kind)
    if "Value" in kinds:
        try:
            fits = value is None or (math.isfinite(nominal(value)) and math.isfinite(expanded(value)))
        except (TypeError, ValueError):
            return  # no number at all: that comes to light where it is reckoned with, or sent
    elif kinds.startswith("tuple[str"):
        fits = isinstance(value, tuple) and all(isinstance(each, str) for each in value)
    else:
        fits = isinstance(value, {"bool": bool, "str": str}.get(kinds, object))
    if not fits:
        raise TypeError(f"it answered {name} = {value!r}, which is not {kinds.replace('Value', 'a finite number')}")


def _reply(replies: BinaryIO, scratch: Any, what: str, work: Callable[[], Any], kept: list[Any]) -> None:
    """Do the work and send what came of it, with the beginning of what was printed meanwhile."""
    mine = os.getpid()
    try:
        packed = _packed(("answered", work(), _printed(scratch)), kept)
    except BaseException as error:  # also what means to end the program
        packed = _packed(("failed", _told(error, what), _printed(scratch)), [])
    if os.getpid() != mine:  # a copy that the stranger made of this process answers nothing
        os._exit(1)
    send(replies, packed)


def _printed(scratch: Any) -> str:
    """The beginning of what was printed since the last reply."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError, AttributeError):  # full, closed, or replaced by the stranger
            stream.flush()
    scratch.seek(0)
    text = scratch.read(MOST).decode("utf-8", "replace")
    scratch.seek(0)
    scratch.truncate()
    return str(text)


def _told(error: BaseException, what: str) -> str:
    """An exception with the line of the file at which it arose."""
    text = f"{type(error).__name__}: {error}"
    if isinstance(error, SyntaxError):
        return text  # names the line itself
    lines = [frame.lineno for frame in traceback.extract_tb(error.__traceback__) if frame.filename == what]
    return f"line {lines[-1]}: {text}" if lines else text


def _packed(reply: object, kept: list[Any]) -> bytes:
    """The reply; a number that the parent sent is named by its place among those it sent."""
    places = {id(piece): place for place, piece in enumerate(kept)}
    buffer = io.BytesIO()

    class Pickler(pickle.Pickler):
        def persistent_id(self, obj: Any) -> int | None:
            return places.get(id(obj))

    Pickler(buffer).dump(reply)
    return buffer.getvalue()
