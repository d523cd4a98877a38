"""What the club's pages say of one rig, as plain data: one line of the file that a later run reads again."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any

from rigmargin.judge.finding import VERDICTS

UNREADABLE = "unreadable"  # in the place of a verdict: nothing was judged
#: Worst first: what nothing is known of, then as verdicts go.
ORDER = (UNREADABLE, *VERDICTS)


@dataclass(frozen=True, slots=True)
class Row:
    """One rig file of the folder, judged or not."""

    file: str  # its path in the folder
    key: str  # changes when the file, the rules or what was asked for change
    name: str = ""  # of the rig; empty where the file could not be read
    owner: str = ""  # empty unless owners were asked for
    overall: str = UNREADABLE
    headline: str = ""  # the one sentence, or the first problem
    binds: str = ""  # id of the rule with the least margin
    label: str = ""  # what it held against what
    margin: str = ""  # its margin as shown
    share: float | None = None  # its margin as a share of the limit
    limits: dict[str, dict[str, int]] | None = None  # how many findings of each verdict, by rule
    acts: tuple[tuple[str, int], ...] = ()  # what to learn next, with its marks for words, and how many findings each settles
    words: str = ""  # the region in whose words the rig's report is; empty where there is none
    remarks: tuple[tuple[str, int], ...] = ()  # what settings say of findings, and of how many
    problems: tuple[str, ...] = ()  # why it could not be read
    pages: tuple[tuple[str, int], ...] = ()  # what was written of it, by path in the output folder, and how many bytes
    findings: tuple[int, int] = (0, 0)  # where its lines stand in the table of findings: first byte, and the one after the last

    @property
    def order(self) -> tuple[Any, ...]:
        """Sorts the worst first, and of one verdict the least margin."""
        return ORDER.index(self.overall), self.share is None, self.share or 0.0, self.file

    def line(self) -> str:
        """As one line of JSON."""
        return json.dumps(asdict(self), ensure_ascii=True, allow_nan=False) + "\n"


def read(line: str | bytes) -> Row:
    """The row that ``Row.line`` wrote. Raises ValueError, TypeError or KeyError for anything else."""
    data = json.loads(line)
    lists = {"problems": tuple(data["problems"])}
    counts = {name: tuple((text, number) for text, number in data[name]) for name in ("acts", "remarks", "pages")}
    return Row(**{**data, **lists, **counts, "findings": tuple(data["findings"])})
