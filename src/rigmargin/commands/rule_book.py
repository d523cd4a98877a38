"""The commands that answer for the rules themselves, and for the places whose law is on file. Each gives the exit code."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rigmargin.commands.common import UNREADABLE, USAGE, NoRules, answered, console, in_force, named, readable, settled


def rules(chosen: argparse.Namespace) -> int:
    """The rules, one rule in full, or a rule file tried."""
    from rigmargin.report import catalogue

    chosen = settled(chosen)
    if chosen.file:
        return _try(chosen)
    ruleset = in_force(chosen)
    for failure in ruleset.failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    if chosen.id is None:
        catalogue.table(ruleset, console())
    else:
        rule = ruleset.find(chosen.id)
        if rule is None:
            every = (*ruleset.rules, *ruleset.of_law())
            print(f"rigmargin: {catalogue.unknown(chosen.id, every)}", file=sys.stderr)
            return USAGE
        print(catalogue.plain(rule))
        print(
            "".join(f"\n{catalogue.switched_off(*pair)}" for pair in ruleset.replaced if rule.id in (pair[0].id, pair[1].id)),
            end="",
        )
    return 5 if ruleset.failures else 0


def _try(chosen: argparse.Namespace) -> int:
    from rigmargin.judge.local import NotAFolder
    from rigmargin.testing.tryout import lines, tryout

    folders = [each.path for each in chosen.settings.rules if each.runs]
    try:
        done = readable(lambda file: tryout(file, folders, chosen.on), chosen.file, "tried")
    except NotAFolder as wrong:
        raise NoRules(f"{named(chosen, wrong.folder)}: {wrong}") from None
    if done is None:
        return UNREADABLE
    for problem in done.problems:
        print(f"rigmargin: {problem}", file=sys.stderr)
    for line in lines(done):
        print(line)
    return UNREADABLE if done.problems else 0 if done.comes_out else 1


def places(chosen: argparse.Namespace) -> int:
    """Which law is on file, or what places ask of a rig."""
    from rigmargin.advice.places import Asked, Coverage, asked, covered, unknown
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import places as pages
    from rigmargin.spec.rig import load

    for wrong, meant in unknown(chosen.codes):
        hint = f"did you mean '{meant}'?" if meant else "write the ISO 3166 code, a state after a hyphen"
        print(f"rigmargin: {wrong!r} is the code of no place; {hint}", file=sys.stderr)
    if unknown(chosen.codes):
        return USAGE
    chosen = settled(chosen, Path(chosen.rig).parent if chosen.rig else ".")
    ruleset = in_force(chosen)
    answer: Coverage | Asked
    if chosen.rig:
        rig = readable(lambda file: load(file, chosen.settings), chosen.rig, "judged")
        if rig is None:
            return UNREADABLE
        answer = asked(rig, ruleset, chosen.codes)
        failures, worst = answer.coverage.failures, answer.worst
    else:
        answer = covered(ruleset, chosen.codes)
        failures, worst = (*ruleset.failures, *answer.failures), ""
    for failure in failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    code = EXIT["rule_failed"] if failures else EXIT[worst] if worst else 0
    return answered(chosen, pages, answer, "places", code)
