"""How long it takes: one rig cold from the shell, and many rigs in one process. Run by hand: ``python tests/bench/bench.py``.

Nothing here asserts a time: machines differ. The figures belong in the note of the change that moves them.
"""

from __future__ import annotations

import platform
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from rigmargin.judge import plugins
from rigmargin.judge.run import judge
from rigmargin.loads.facts import Facts
from rigmargin.report import json, pages
from rigmargin.spec.rig import load

EXAMPLE = Path(__file__).parents[2] / "specs_examples" / "alder-creek-fifth-wheel.yaml"
RIGS, COLD = 1000, 15


def cold() -> float:
    """Median seconds of a whole ``rigmargin check`` process."""
    times = []
    for _ in range(COLD):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "rigmargin", "check", str(EXAMPLE)], capture_output=True, check=False)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def warm(folder: Path) -> dict[str, float]:
    """Milliseconds a rig for each stage, over RIGS files that differ."""
    text = EXAMPLE.read_text("utf-8")
    files = [folder / f"{i}.yaml" for i in range(RIGS)]
    for i, file in enumerate(files):
        file.write_text(text.replace("mass: 1500 lb", f"mass: {1000 + i} lb"), "utf-8")
    plugins.load()
    spent = dict.fromkeys(("load and validate", "loads", "judge (with loads)", "JSON", "HTML"), 0.0)
    for file in files:
        marks = [time.perf_counter()]
        rig = load(file)
        marks.append(time.perf_counter())
        Facts(rig)
        marks.append(time.perf_counter())
        report = judge(rig)
        marks.append(time.perf_counter())
        json.render(report)
        marks.append(time.perf_counter())
        pages.html(report)
        marks.append(time.perf_counter())
        for stage, before, after in zip(spent, marks, marks[1:], strict=False):
            spent[stage] += after - before
    return {stage: 1000 * seconds / RIGS for stage, seconds in spent.items()}


if __name__ == "__main__":
    print(f"Python {platform.python_version()}, {platform.machine()}")
    print(f"cold check: {cold():.3f} s (median of {COLD})")
    with tempfile.TemporaryDirectory() as folder:
        stages = warm(Path(folder))
    for stage, each in stages.items():
        print(f"{stage}: {each:.2f} ms a rig")
    print(f"load, judge, JSON: {stages['load and validate'] + stages['judge (with loads)'] + stages['JSON']:.2f} ms a rig")
