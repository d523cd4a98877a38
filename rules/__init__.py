"""rigmargin's own checks: a plugin like any other, found through the entry-point group ``rigmargin.rules``.

One module a subject. A rule module imports ``rigmargin.judge.rule`` and its siblings, and nothing else of the engine.
"""

from __future__ import annotations

import importlib.resources
from collections.abc import Iterable
from importlib.resources.abc import Traversable

from rigmargin.judge.rule import Rule, hookimpl, rules_in

from . import (
    axles,
    brakes,
    chains,
    coupling,
    distribution,
    evidence,
    helper,
    hitch,
    labels,
    masses,
    proof,
    reference_forces,
    springs,
    towing,
    tyre_use,
    tyres,
    wheels,
)

MODULES = (
    masses, axles, towing, coupling, hitch, reference_forces, proof, chains, distribution, springs, helper, tyres, wheels,
    tyre_use, brakes, evidence, labels,
)  # fmt: skip


@hookimpl
def rigmargin_rules() -> Iterable[Rule]:
    """Every rule of the modules above."""
    return [rule for module in MODULES for rule in rules_in(module)]


@hookimpl
def rigmargin_regulations() -> Iterable[Traversable]:
    """The folder of our regulation files."""
    return [importlib.resources.files(__name__).joinpath("regulations")]
