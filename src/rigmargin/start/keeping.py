"""The answers into their file: whole or not at all, and nothing in it lost that somebody else has written."""

from __future__ import annotations

from pathlib import Path

from rigmargin.report import write
from rigmargin.spec import insertion
from rigmargin.start import file_text
from rigmargin.start.answers import Answers

_MARK = "\ufeff"  # a byte order mark


class NotKept(Exception):
    """The answers could not be written; says why, and what is in the file."""


class Keeper:
    """One file, and what it is known to hold."""

    def __init__(self, path: Path, text: str | None, begun: Answers) -> None:
        """``text`` is what the file holds before the talk, which is what ``begun`` says; None when there is none yet."""
        self.path = path.resolve()  # behind a link the file itself is written
        self._before = text
        self._now = text
        #: Whether somebody has gone on editing the file: then every character of it stays.
        self.edited = text is not None and text != file_text.text(begun)

    def keep(self, answers: Answers) -> None:
        """Write the answers, if a file with them can be read; one that was begun here and cannot any more is taken away.

        Raises NotKept.
        """
        kept = answers.readable()
        wanted = self._text(kept) if kept.complete() else self._before
        if wanted == self._now:
            return
        try:
            if self._on_disk() != self._now:
                raise NotKept("it was changed by something else meanwhile, and stays as it is now; run start again")
            if wanted is None:
                self.path.unlink()
            else:
                write.whole(self.path, wanted)
        except OSError as error:
            raise NotKept(f"{error.strerror or error}; it is as it was before the last answer") from None
        self._now = wanted

    @property
    def written(self) -> bool:
        """Whether there is a file now."""
        return self._now is not None

    def _text(self, answers: Answers) -> str:
        if not self.edited:
            return file_text.text(answers)
        assert self._before is not None
        bare = self._before.removeprefix(_MARK)
        try:
            return self._before[: len(self._before) - len(bare)] + insertion.with_fields(bare, answers.data)
        except insertion.NoPlace as reason:
            raise NotKept(f"{reason}; write the last answer into it by hand") from None

    def _on_disk(self) -> str | None:
        """What the file holds; None when there is none. Raises OSError."""
        try:
            return self.path.read_bytes().decode("utf-8", "surrogateescape")
        except FileNotFoundError:
            return None
