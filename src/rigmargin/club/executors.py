"""Where the rigs of a batch are judged: in this process, in several on this machine, or on a Dask cluster that is there.

Anything that speaks as ``concurrent.futures.Executor`` does will do; what is handed to it is plain data.
"""

from __future__ import annotations

import ctypes
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

from rigmargin.club import fingerprint

P = ParamSpec("P")
T = TypeVar("T")
DASK = "dask://"
#: Fewer rigs than this are judged before a second process has started.
FEW = 48


@dataclass(frozen=True, slots=True)
class Site:
    """Where tasks are done."""

    open: Callable[[int], AbstractContextManager[Any]]  # an executor for so many rigs; one that broke is opened again
    width: int  # how many tasks it does at once
    far: bool = False  # on machines that may not see the folder


class Here(Executor):
    """Every task is done when it is handed in."""

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """The finished future of one call."""
        done: Future[T] = Future()
        try:
            done.set_result(fn(*args, **kwargs))
        except Exception as error:  # a future keeps whatever was raised, for whoever asks for its result
            done.set_exception(error)
        return done


class NoCluster(Exception):
    """The cluster cannot be used; says why."""


def cores() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def local(workers: int) -> Site:
    """Processes of this machine, or this process alone where more would not pay."""
    return Site(lambda rigs: Here() if workers == 1 or rigs < FEW else _pool(workers), workers)


def _pool(workers: int) -> Executor:
    return ProcessPoolExecutor(workers, initializer=_serve, initargs=(os.getpid(),))


def _serve(parent: int) -> None:
    """Leave an interrupt to the process that waits for this one, and end with it (where the system can be told so: Linux)."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG
    if os.getppid() != parent:  # it was gone already
        os._exit(1)


@contextmanager
def dask(address: str, rules: Sequence[str]) -> Iterator[Site]:
    """The Dask cluster whose scheduler listens at ``dask://host:port``; it goes on when we are done. Raises NoCluster.

    Its workers must have the same rigmargin, plugins and local rules: a verdict may not depend on who gave it.
    """
    try:
        import distributed
    except ImportError:
        raise NoCluster("a Dask cluster needs the package distributed: pip install 'rigmargin[dask]'") from None
    host = address.removeprefix(DASK)
    try:
        client: Any = distributed.Client(f"tcp://{host}", timeout=10, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise NoCluster(f"no Dask scheduler answers at {host} ({error})") from None
    try:
        _same_rules(client, rules)
        executor = client.get_executor(pure=False)
        yield Site(lambda _: nullcontext(executor), sum(client.ncores().values()), far=True)
    finally:
        client.close()


def _same_rules(client: Any, rules: Sequence[str]) -> None:
    ours = fingerprint.of_rules(rules)
    try:
        theirs = client.run(fingerprint.of_rules, list(rules))
    except Exception as error:  # whatever a worker raises, one without rigmargin for example
        raise NoCluster(f"a worker of the cluster cannot run rigmargin's rules ({type(error).__name__}: {error})") from None
    if not theirs:
        raise NoCluster("the cluster has no workers")
    for worker, found in theirs.items():
        if found != ours:
            raise NoCluster(f"the worker {worker} has other rules or another rigmargin; install the same on every worker")
