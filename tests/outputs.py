"""All that is ever written or printed of one rig file: every answer in every form."""

from __future__ import annotations

import io
from contextlib import redirect_stderr, redirect_stdout

from rich.console import Console

from rigmargin import cli
from rigmargin.advice import any_trailer, compare, headroom, loading_plan, places, shopping
from rigmargin.club import changes_pages
from rigmargin.club.changes import changes
from rigmargin.club.git import repository
from rigmargin.judge import plugins
from rigmargin.judge.run import judge
from rigmargin.report import compare as compare_pages
from rigmargin.report import headroom as headroom_pages
from rigmargin.report import places as places_pages
from rigmargin.report import plan as plan_pages
from rigmargin.report import record, sheet, terminal, write
from rigmargin.report import settings as settings_pages
from rigmargin.report import shopping as shopping_pages
from rigmargin.report.view import view
from rigmargin.spec import settings_file
from rigmargin.spec.rig import load
from rigmargin.spec.settings import NONE, Origin
from rigmargin.spec.variants import read

OPTION = Origin("option", "--settings")


def of_rig(file):
    """By answer and form, of what the commands for one rig give."""
    ruleset = plugins.load()
    report = judge(load(str(file)), ruleset)
    made = {("report", ending): to_text(report, "rig") for ending, to_text in write.FORMATS.items()}
    made["report", "terminal"] = _printed(terminal.show, view(report))
    made["sheet", ".html"], made["sheet", ".md"] = sheet.html(report, owner=True), sheet.markdown(report, owner=True)
    made["record", ".html"], made["record", ".md"] = record.html(report, owner=True), record.markdown(report, owner=True)
    made |= _forms("headroom", headroom_pages, headroom.headroom(report, ruleset))
    made |= _forms("compare", compare_pages, compare.compare(read(str(file), NONE), ruleset, together=2))
    made |= _forms("plan", plan_pages, loading_plan.plan(report, ruleset))
    made |= _forms("shopping", shopping_pages, shopping.shopping(report, any_trailer.own_share(report), ruleset))
    made |= _forms("places", places_pages, places.asked(report.rig, ruleset, ["us-fl"]))
    return made


def of_settings(file):
    """Of a settings file."""
    return _forms("settings", settings_pages, settings_file.read(str(file), OPTION))


def of_changes(folder, old, new):
    """Of two revisions."""
    return _forms("changes", changes_pages, changes(repository(folder), old, new, lambda _: (NONE, plugins.load())))


def of_club(folder, out):
    """Of a folder of rigs: every file that is written, by its path; and what is printed, beside the errors."""
    printed, errors = io.StringIO(), io.StringIO()
    formats = ("--reports", "html,md,json,sarif", "--sheets", "--with-owners", "--workers=1")
    with redirect_stdout(printed), redirect_stderr(errors):
        cli.main(["club", str(folder), "--out", str(out), *formats])
        cli.main(["weigh-in", "--template", str(folder)])
    files = {("club", str(file.relative_to(out))): file.read_text("utf-8") for file in sorted(out.rglob("*")) if file.is_file()}
    return {**files, ("club", "terminal"): printed.getvalue(), ("club", "errors"): errors.getvalue()}


def _forms(name, pages, answer):
    forms = {".html": pages.html, ".md": pages.markdown, ".json": pages.json}
    written = {(name, ending): to_text(answer, "rig") for ending, to_text in forms.items()}
    return {**written, (name, "terminal"): _printed(pages.show, pages.view(answer, "rig"))}


def _printed(show, shown):
    """What goes to a terminal in colour."""
    out = io.StringIO()
    show(shown, Console(file=out, width=100, force_terminal=True, highlight=False, markup=False, emoji=False))
    return out.getvalue()
