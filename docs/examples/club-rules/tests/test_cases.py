"""The rule says what its cases say. Run by ``pytest`` where rigmargin and this distribution are installed."""

from pathlib import Path

from rigmargin.testing import run_cases


def test_cases():
    """Every case comes out as it says."""
    assert run_cases(Path(__file__).parents[1] / "cases.yaml") == []
