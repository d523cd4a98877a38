"""What the club's files were: a git repository read through the ``git`` command. Nothing here writes to it.

Arguments go to git as a list and never through a shell, and what could be taken for an option stands behind
``--end-of-options``. Names of files are never given to git, and come back with NUL between them: a name may hold anything.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import tempfile
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from rigmargin.spec.problem import shown

SIMILAR = "90%"  # of a file's text, from which a file that went and one that came are the same file renamed
LINK, SUBMODULE = "120000", "160000"  # modes of what git keeps that is no file
SHA256 = 64  # digits of an id in a repository that keeps files by it
CHUNK = 1 << 20  # bytes read at a time


class GitProblem(Exception):
    """Why there is no answer from git, in words with a cure."""


class Refused(GitProblem):
    """What was asked for cannot be answered as it was asked, or here: the command line is to be changed."""


class Unreadable(GitProblem):
    """The repository does not hold, or does not give, what it should."""


@dataclass(frozen=True, slots=True)
class Pair:
    """One file on both sides; None where it is not there, or is no ordinary file."""

    old: str | None  # its path from the repository's top, with / between folders
    new: str | None
    submodule: str | None = None  # instead of a file: a repository inside this one, whose state differs


@dataclass(frozen=True, slots=True)
class Repository:
    """A git repository, by the folder at its top; of a bare one, the repository's own folder."""

    top: Path
    bare: bool

    def commit(self, revision: str) -> str:
        """The id of the commit a revision names. Raises Refused when it names none, or several."""
        asked = f"{revision}^{{commit}}"
        done = _git(self.top, "rev-parse", "--verify", "--end-of-options", asked)
        said = done.stderr.decode("utf-8", "replace")
        if "is ambiguous" in said:
            raise Refused(f"the revision {shown(revision)} is ambiguous{self._candidates(revision, said)}")
        if done.returncode:
            raise Refused(self._unknown(revision))
        found = done.stdout.decode("ascii").strip()
        if found.startswith("^"):  # git takes it for all that is not in its history
            raise Refused(f"{shown(revision)} names no revision but leaves one out; write it without the ^ at its beginning")
        return found

    def files(self, commit: str) -> dict[str, str]:
        """Every file of a commit, by path, with the id of its contents."""
        found = {}
        for entry in _lines(self._answer("ls-tree", "-r", "-z", "--full-tree", "--end-of-options", commit)):
            about, _, path = entry.partition("\t")
            mode, _, content = about.split(" ")
            if mode not in (LINK, SUBMODULE) and not {"", ".", ".."} & set(path.split("/")):  # git checks no such name out
                found[path] = content
        return found

    def files_now(self) -> frozenset[str]:
        """Every file of the work tree that git tracks or would, by path."""
        listed = _lines(self._answer("ls-files", "-z", "--cached", "--others", "--exclude-standard"))
        return frozenset(path for path in listed if _is_file(self.top / path))

    def differing(self, old: str, new: str | None) -> tuple[Pair, ...]:
        """The files that differ between two commits, or a commit and the work tree (None), renamed ones paired."""
        options = (
            "-r",
            "-z",
            "--raw",
            f"--find-renames={SIMILAR}",
            "-l0",
            "--no-relative",
            "--no-ext-diff",
            "--ignore-submodules=none",
        )
        if new is None:
            entries = self._answer("diff-index", *options, "--end-of-options", old)
        else:
            entries = self._answer("diff-tree", *options, "--end-of-options", old, new)
        found = list(_pairs(_lines(entries)))
        if new is not None:
            return tuple(found)
        known = {pair.new for pair in found}
        found += self._unwatched(old, known)
        loose = _lines(self._answer("ls-files", "-z", "--others", "--exclude-standard"))
        gone = {pair.old for pair in found if pair.new is None}
        there = [
            Pair(path if path in gone else None, path) for path in loose if path not in known and _is_file(self.top / path)
        ]
        back = {pair.old for pair in there}
        return (*(pair for pair in found if pair.new or pair.submodule or pair.old not in back), *there)

    def _unwatched(self, old: str, known: Collection[str | None]) -> list[Pair]:
        """The files that differ although git was told not to look at them (``update-index``), but for those ``known``."""
        marked = [entry.split(" ", 1) for entry in _lines(self._answer("ls-files", "-v", "-z"))]
        unseen = {path: mark for mark, path in marked if (mark.islower() or mark == "S") and path not in known}
        kept = self.files(old) if unseen else {}
        pairs = []
        for path, mark in unseen.items():
            file = self.top / path
            if _is_file(file):
                if path not in kept or _id(file, like=kept[path]) != kept[path]:
                    pairs.append(Pair(path if path in kept else None, path))
            elif mark == "h" and path in kept:  # of those skipped (s, S) git itself keeps files out of a sparse work tree
                pairs.append(Pair(path, None))
        return pairs

    def contents(self, ids: Iterable[str], most: int) -> dict[str, bytes]:
        """What is kept under each of these ids; of what is longer than ``most`` bytes the first of them and one more.

        Raises Unreadable when something is not there.
        """
        wanted, found = list(dict.fromkeys(ids)), {}
        if not wanted:
            return {}
        with tempfile.TemporaryFile() as asked:
            asked.write("".join(f"{each}\n" for each in wanted).encode("ascii"))
            asked.seek(0)
            with _reading(self.top, asked, "cat-file", "--batch") as answer:
                for each in wanted:
                    about = answer.readline().split()
                    if len(about) != 3 or about[1] != b"blob":
                        raise self._lacking(each)
                    size = int(about[2])
                    found[each] = answer.read(min(size, most + 1))
                    left = size - len(found[each]) + 1  # a line's end comes behind it
                    while left and (part := answer.read(min(left, CHUNK))):
                        left -= len(part)
                    if left:
                        raise self._lacking(each)
        return found

    def size(self, id_: str) -> int:
        """How long what is kept under an id is, in bytes. Raises Unreadable."""
        return int(self._answer("cat-file", "-s", id_))

    def _lacking(self, id_: str) -> Unreadable:
        cure = "fetch it again (git fetch --refetch), or check the repository with git fsck"
        return Unreadable(f"the repository lacks the file kept as {id_[:12]}; {cure}")

    def inside(self, name: str) -> str:
        """The path from the top of a file or folder named from where we are; empty for the top itself.

        Raises Refused when it is outside the repository.
        """
        full = Path(os.path.abspath(name))
        full = Path(os.path.realpath(full.parent)) / full.name  # the last part may be a link that git keeps as such
        try:
            path = full.relative_to(self.top).as_posix()
        except ValueError:
            if full == self.top or Path(os.path.realpath(full)) == self.top:
                return ""
            raise Refused(f"{shown(name)} is outside the repository; name a file or folder in it") from None
        return "" if path == "." else path

    def _candidates(self, revision: str, said: str) -> str:
        ids = re.findall(r"^hint: +([0-9a-f]{4,64}) (?:commit|tag)\b", said, re.MULTILINE)
        if ids:
            return f": it may be {' or '.join(ids)}; write more of the id"
        refs = _git(self.top, "for-each-ref", "--format=%(refname)").stdout.decode("utf-8", "replace").splitlines()
        names = [ref for ref in refs if ref.split("/", 2)[-1] == revision]
        return f": it may be {' or '.join(names)}; write one of these" if names else "; write its name in full"

    def _unknown(self, revision: str) -> str:
        text = f"{shown(revision)} is no revision in this repository"
        if self._answer("rev-parse", "--is-shallow-repository").strip() == b"true":
            return (
                f"{text}, which is a shallow clone and holds only a part of the history; fetch it first: "
                "git fetch --unshallow, or git fetch --depth=1 origin and the branch, and name FETCH_HEAD"
            )
        if not self._answer("rev-list", "--max-count=1", "--all").strip():
            return "this repository has no commit yet, so there is nothing to compare with; commit the rig files first"
        if ".." in revision:
            return f"{text}; name the two revisions one after the other, with a space between them"
        if os.path.lexists(revision):
            return f"{text}, but there is a file or folder of that name; write files and folders after --"
        return f"{text}; check the name, or fetch it first (git fetch origin)"

    def _answer(self, *arguments: str) -> bytes:
        done = _git(self.top, *arguments)
        if done.returncode:
            raise Unreadable(_words(done.stderr))
        return done.stdout


def repository(folder: Path) -> Repository:
    """The repository a folder is in. Raises Refused when it is in none, and Unreadable when git refuses it."""
    done = _git(folder, "rev-parse", "--is-bare-repository")
    said = _words(done.stderr)
    if "not a git repository" in said:
        raise Refused("this folder is in no git repository; go to the club's folder, or make it one with git init")
    if done.returncode:
        raise Unreadable(said)
    bare = done.stdout.strip() == b"true"
    where = _git(folder, "rev-parse", "--absolute-git-dir" if bare else "--show-toplevel")
    if where.returncode:
        raise Refused("this is a repository's own folder and no work tree; go to the folder that holds the rig files")
    return Repository(Path(os.path.realpath(os.fsdecode(where.stdout).removesuffix("\n"))), bare)


def within(path: str | None, places: Sequence[str]) -> bool:
    """Whether a path is one of these files or lies in one of these folders; with none named, any path does."""
    return path is not None and (not places or any(not p or path == p or path.startswith(f"{p}/") for p in places))


def _git(folder: Path, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    """One run of git in a folder, which is given nothing to read. Raises Refused without git."""
    with _started(folder, subprocess.DEVNULL, subprocess.PIPE, arguments) as git:
        said, wrong = git.communicate()
        return subprocess.CompletedProcess(git.args, git.returncode, said, wrong)


@contextmanager
def _reading(folder: Path, given: IO[bytes], *arguments: str) -> Iterator[IO[bytes]]:
    """What git answers to what it is given, to be read bit by bit; git is stopped where nobody reads on."""
    with _started(folder, given, subprocess.DEVNULL, arguments) as git:
        assert git.stdout is not None  # a pipe
        try:
            yield git.stdout
        finally:
            git.kill()


def _started(folder: Path, given: IO[bytes] | int, wrong: int, arguments: Sequence[str]) -> subprocess.Popen[bytes]:
    """Git at work in a folder. It takes no lock, asks nobody, and speaks English. Raises Refused without git."""
    fixed = ("-c", "core.warnAmbiguousRefs=true", "--no-pager")
    environment = {**os.environ, "LC_ALL": "C", "GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0"}
    try:
        return subprocess.Popen(
            ["git", *fixed, *arguments], cwd=folder, env=environment, stdin=given, stdout=subprocess.PIPE, stderr=wrong
        )
    except FileNotFoundError:
        raise Refused("git is not installed, or not on the path; install it to compare revisions") from None
    except OSError as error:
        raise Unreadable(f"git could not be run: {error.strerror or error}") from None


def _lines(answer: bytes) -> list[str]:
    """What stands between NULs; names that are no UTF-8 keep their bytes, as names of files do in Python."""
    return [os.fsdecode(part) for part in answer.split(b"\0") if part]


def _pairs(entries: list[str]) -> Iterator[Pair]:
    """The raw output of a diff: ``:mode mode id id status``, then a path, or two of what was renamed."""
    parts = iter(entries)
    for about in parts:
        old_mode, new_mode, _, _, status = about.removeprefix(":").split(" ")
        old = new = next(parts)
        if status[0] in "RC":
            new = next(parts)
        pair = Pair(_ordinary(old, old_mode), _ordinary(new, new_mode))
        if pair.old or pair.new:
            yield pair
        if SUBMODULE in (old_mode, new_mode):
            yield Pair(None, None, old if old_mode == SUBMODULE else new)


def _ordinary(path: str, mode: str) -> str | None:
    return None if mode in ("000000", LINK, SUBMODULE) else path


def _id(file: Path, like: str) -> str:
    """The id under which git would keep a file as it lies there; empty when it cannot be read."""
    try:
        kept = hashlib.new(
            "sha256" if len(like) == SHA256 else "sha1", b"blob %d\0" % file.stat().st_size, usedforsecurity=False
        )
        with file.open("rb") as stream:
            while part := stream.read(CHUNK):
                kept.update(part)
    except OSError:
        return ""
    return kept.hexdigest()


def _is_file(path: Path) -> bool:
    return path.is_file() and not path.is_symlink()


def _words(said: bytes) -> str:
    """What git says, on one line."""
    lines = [line.removeprefix("fatal: ").removeprefix("error: ") for line in said.decode("utf-8", "replace").splitlines()]
    return f"git says: {' '.join(' '.join(lines).split())}"
