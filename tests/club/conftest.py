"""A club's repository for each test."""

import pytest
from club_repository import SETTINGS, Club


@pytest.fixture
def club(tmp_path, monkeypatch):
    """An empty repository, which is also where the test stands."""
    for name in ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"):
        monkeypatch.delenv(name, raising=False)
    for name, value in SETTINGS.items():
        monkeypatch.setenv(name, value)
    made = Club(tmp_path / "club")
    monkeypatch.chdir(made.folder)
    return made
