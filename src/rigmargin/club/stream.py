"""Tasks handed to workers ahead of time and taken back in their order, a bounded number under way at once.

A worker that dies (out of memory, killed) costs only the rig on which it died: what was under way is done
again, each rig alone.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import BrokenExecutor
from contextlib import ExitStack
from typing import Any

from rigmargin.club import one
from rigmargin.club.executors import Site
from rigmargin.club.last import Old
from rigmargin.club.one import Done, Job, Task

CHUNK = 16  # rigs in one hand-over to a worker
READY = 512  # other items that may travel with them
DIED = "the process that judged it ended without an answer"

Item = Task | Done | Old  # one file: to be judged, not to be read, or judged by the last run


def in_order(job: Job, items: Iterable[Item], site: Site, rigs: int) -> Iterator[Done | Old]:
    """Every item in its order, tasks as what came of them; ``rigs`` is about how many tasks there are."""
    with _Crew(job, site, rigs) as crew:
        under_way: deque[tuple[list[Item], Any]] = deque()
        for chunk in _chunks(items):
            under_way.append((chunk, crew.begin([task for task in _tasks(chunk) if not crew.here(task)])))
            if len(under_way) > 2 * site.width + 2:
                yield from crew.end(*under_way.popleft())
        while under_way:
            yield from crew.end(*under_way.popleft())


def _chunks(items: Iterable[Item]) -> Iterator[list[Item]]:
    chunk: list[Item] = []
    for item in items:
        chunk.append(item)
        if len(chunk) == READY or len(_tasks(chunk)) == CHUNK:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _tasks(chunk: list[Item]) -> list[Task]:
    return [item for item in chunk if isinstance(item, Task)]


class _Crew(ExitStack):
    """The workers; replaced when one of them dies."""

    def __init__(self, job: Job, site: Site, rigs: int) -> None:
        super().__init__()
        self._job, self._site, self._rigs = job, site, rigs
        self._executor: Any = None

    def here(self, task: Task) -> bool:
        """Whether a task is done in this process: it needs files that workers far away may not see."""
        return self._site.far and task.leans

    def begin(self, tasks: list[Task]) -> Any:
        """Hand tasks in; the future of what comes of them, or None where there is nothing to do or nobody to do it."""
        if not tasks:
            return None
        if self._executor is None:
            self._executor = self.enter_context(self._site.open(self._rigs))
        try:
            return self._executor.submit(one.several, self._job, tasks)
        except BrokenExecutor:
            self._executor = None
            return None

    def end(self, chunk: list[Item], future: Any) -> Iterator[Done | Old]:
        """What came of a chunk, in its order."""
        try:
            done = iter(future.result() if future else [])
            answers = {task.file: next(done) for task in _tasks(chunk) if not self.here(task)}
        except (Exception, StopIteration) as error:
            if isinstance(error, BrokenExecutor):
                self._executor = None
            answers = {task.file: self._alone(task) for task in _tasks(chunk) if not self.here(task)}
        answers |= {task.file: one.several(self._job, [task])[0] for task in _tasks(chunk) if self.here(task)}
        return (answers[item.file] if isinstance(item, Task) else item for item in chunk)

    def _alone(self, task: Task) -> Done:
        """One rig in a process that has nothing else to do; when that dies too, it was this rig."""
        try:
            with self._site.open(self._rigs) as executor:
                done: Done = executor.submit(one.several, self._job, [task]).result()[0]
                return done
        except Exception as error:  # whatever it died of is this rig's row, and the others go on
            return one.failed(task, DIED if isinstance(error, BrokenExecutor) else f"{type(error).__name__}: {error}")
