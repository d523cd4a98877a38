"""What a reader is shown of the law: what to check locally, which places were looked at, and no mark-up of a stranger's."""

import io

import pytest
from rich.console import Console
from rigs import rig

from rigmargin.judge import plugins, regulation
from rigmargin.judge.run import judge
from rigmargin.report import pages
from rigmargin.report.terminal import show
from rigmargin.report.view import view

FILE = """\
regulations: 1
place: us-wy
name: Wyoming
authority: the <b>roads</b> department
read_on: 2026-02-01
status: second_hand
rules:
  chains:
    title: Chains are <i>fitted</i>
    topic: safety_chains
    citation: Roads Act 12
    require: {fitted: coupling.safety_chains.fitted}
    asks: two chains
    cases: {none: {given: {coupling.safety_chains.fitted: no}, verdict: note, meets: no}}
"""


@pytest.fixture
def report(tmp_path):
    (tmp_path / "us-wy.yaml").write_text(FILE)
    ruleset = plugins.Ruleset((), (), tuple(regulation.shelves(tmp_path, "law", "a test")))
    return judge(rig(places=["us-wy"], coupling={"safety_chains": {"fitted": "no"}}), ruleset)


def test_the_terminal_says_what_to_check_locally_and_where_it_looked(report):
    out = io.StringIO()
    show(view(report), Console(file=out, width=80))
    text = " ".join(out.getvalue().split())
    assert (
        "i Safety chains (Wyoming): check locally: under Roads Act 12 (read second-hand, 2026-02-01) this is asked: two "
        "chains; by it this rig would not meet it." in text
    )
    assert "Wyoming (us-wy) was looked at (1 rule); nothing is held for us. Not legal advice; may be out of date." in text
    assert "law: combination" not in text


def test_pages_say_the_same_and_escape_what_a_file_says(report):
    html, markdown = pages.html(report, "rig"), pages.markdown(report, "rig")
    for page in (html, markdown):
        assert "check locally: under Roads Act 12" in page
        assert "Not legal advice; may be out of date." in page
        assert "<b>" not in page and "<i>" not in page
    assert "Ask the &lt;b&gt;roads&lt;/b&gt; department." in html
