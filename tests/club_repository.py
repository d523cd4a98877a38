"""A club's repository made in a temporary folder."""

import os
import subprocess
from pathlib import Path

EXAMPLES = Path(__file__).parents[1] / "specs_examples"
ALDER, QUARRY, MISTY, CEDAR, OTHER_TRUCK = (
    "alder-creek-fifth-wheel.yaml", "quarry-bend-utility.yaml", "misty-lane-thin.yaml", "cedar-pass-bigger-truck.yaml",
    "cedar-pass-other-truck.yaml",
)  # fmt: skip
#: Nothing of the person who runs the tests, and no clock: ids of commits are the same everywhere.
SETTINGS = {
    "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull, "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_AUTHOR_NAME": "officer", "GIT_AUTHOR_EMAIL": "officer@example.org", "GIT_AUTHOR_DATE": "2026-01-01T00:00:00Z",
    "GIT_COMMITTER_NAME": "officer", "GIT_COMMITTER_EMAIL": "officer@example.org", "GIT_COMMITTER_DATE": "2026-01-01T00:00:00Z",
}  # fmt: skip


class Club:
    """A repository and the few things done to it."""

    def __init__(self, folder, *how):
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        self.git("init", "-q", "-b", "main", *how)

    def git(self, *arguments):
        done = subprocess.run(
            ["git", *arguments], cwd=self.folder, env={**os.environ, **SETTINGS}, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, (arguments, done.stderr)
        return done.stdout.strip()

    def take(self, *names, to=""):
        """Examples copied in."""
        for name in names:
            self.write(to or name, (EXAMPLES / name).read_text("utf-8"))

    def write(self, name, text):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")

    def change(self, name, old, new):
        text = (self.folder / name).read_text("utf-8")
        assert old in text
        self.write(name, text.replace(old, new))

    def commit(self, message="more"):
        self.git("add", "-A")
        self.git("commit", "-q", "--allow-empty", "-m", message)
        return self.git("rev-parse", "HEAD")
