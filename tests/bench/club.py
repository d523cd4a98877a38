"""A club of a thousand rigs against general-purpose checkers on the same files, as whole processes.

Run by hand: ``python tests/bench/club.py``; ``--ten-thousand`` measures the memory of ten times as many rigs too. It makes an
environment of its own for check-jsonschema (with ruamel.yaml.clib, its faster reader) and yamllint, and prints
a Markdown table. Nothing here asserts a time: machines differ. The table of one machine stands in ``docs/speed.md``.
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import venv
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).parents[2]
SCHEMA = TOP / "schemas" / "rig.schema.json"
EXAMPLES = ("alder-creek-fifth-wheel", "birch-hollow-travel-trailer", "linden-caravan", "thistle-ford-generator")
RIGS, COLD = 1000, 7
OURS = [sys.executable, "-m", "rigmargin"]


@dataclass(frozen=True)
class Took:
    """One whole process."""

    wall: float  # s
    cpu: float  # s, of it and its workers
    memory: float  # MB, the largest of its processes


def write_rigs(folder: Path, count: int) -> None:
    """``count`` rigs that all differ, made of the examples with other masses and other names, in folders of a hundred."""
    texts = [(TOP / "specs_examples" / f"{name}.yaml").read_text("utf-8") for name in EXAMPLES]
    for i in range(count):
        path = folder / f"{i // 100:03}" / f"rig-{i:05}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(_varied(texts[i % len(texts)], i), "utf-8")


def _varied(text: str, i: int) -> str:
    """A rig with another name, and the mass of every third thing aboard a little heavier."""
    lines = text.splitlines(keepends=True)
    for number, line in enumerate(lines):
        if line.startswith("name:"):
            lines[number] = f"{line.rstrip()} {i}\n"
        elif number % 3 == i % 3 and "{mass: " in line and "at:" in line:
            before, mass, rest = line.partition("{mass: ")
            figure, blank, after = rest.partition(" ")
            lines[number] = f"{before}{mass}{int(float(figure)) + i % 37}{blank}{after}" if figure.isdecimal() else line
    return "".join(lines)


def took(command: list[str], cwd: Path) -> Took:
    """Run a command to its end."""
    probe = (
        "import resource, subprocess as p, sys, time; s = time.perf_counter(); c = p.run(sys.argv[1:], stdout=p.DEVNULL,"
        " stderr=p.PIPE); w = time.perf_counter() - s; u = resource.getrusage(resource.RUSAGE_CHILDREN);"
        " print(w, u.ru_utime + u.ru_stime, u.ru_maxrss / 1024, c.returncode); sys.stderr.buffer.write(c.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", probe, *command], cwd=cwd, capture_output=True, text=True, check=True)
    wall, cpu, memory, code = done.stdout.split()
    if int(code) not in (0, 1, 3):
        raise SystemExit(f"{' '.join(command[:6])} gave {code}: {done.stderr[-500:]}")
    return Took(float(wall), float(cpu), float(memory))


def general_tools(folder: Path) -> Path:
    """An environment with the general-purpose checkers; the folder of its commands."""
    venv.create(folder, with_pip=True)
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    subprocess.run(
        [scripts / "python", "-m", "pip", "install", "-q", "check-jsonschema", "ruamel.yaml.clib", "yamllint"], check=True
    )
    return scripts


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--ten-thousand", action="store_true")
    chosen = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        scripts = general_tools(work / "tools")
        rigs = work / "rigs"
        write_rigs(rigs, RIGS)
        files = sorted(str(p) for p in rigs.rglob("*.yaml"))
        validate = [str(scripts / "check-jsonschema"), "--schemafile", str(SCHEMA)]
        times: dict[str, Took] = {}

        def run(what: str, command: list[str]) -> None:
            times[what] = took(command, work)

        run("club, JSON only", [*OURS, "club", "rigs", "--out", "json", "--reports", "json"])
        run("club, JSON only, a second time", [*OURS, "club", "rigs", "--out", "json", "--reports", "json"])
        run("club, HTML", [*OURS, "club", "rigs", "--out", "html", "--reports", "html"])
        run("check-jsonschema", [*validate, *files])
        run("yamllint", [str(scripts / "yamllint"), "rigs"])
        cold = {
            "check of one rig": statistics.median(took([*OURS, "check", files[0]], work).wall for _ in range(COLD)),
            "check-jsonschema of one file": statistics.median(took([*validate, files[0]], work).wall for _ in range(COLD)),
        }
        if chosen.ten_thousand:
            write_rigs(work / "many", 10 * RIGS)
            run("club, JSON only, 10,000 rigs", [*OURS, "club", "many", "--out", "many-out", "--reports", "json"])
        table(times, cold)


def table(times: dict[str, Took], cold: dict[str, float]) -> None:
    """Print what was measured."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    print(f"{RIGS} rigs; {cores} cores, {platform.machine()}, Python {platform.python_version()}, {platform.system()}.\n")
    base = times["check-jsonschema"].wall
    print("| whole process | wall, s | processor, s | memory of the largest process, MB | of check-jsonschema's wall |")
    print("|---|--:|--:|--:|--:|")
    for what, each in times.items():
        print(f"| {what} | {each.wall:.2f} | {each.cpu:.2f} | {each.memory:.0f} | {each.wall / base:.2f} |")
    ours, theirs = cold.values()
    print(
        f"\nCold, median of {COLD}: {', '.join(f'{what} {each:.3f} s' for what, each in cold.items())} ({ours / theirs:.2f})."
    )


if __name__ == "__main__":
    main()
