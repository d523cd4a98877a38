"""Whether what a file says goes together: names that point at something, springs and tyres that can be so, marks for a plan."""

from __future__ import annotations

from rigmargin.spec import movables, references, suspension, tyres
from rigmargin.spec.document import Document
from rigmargin.spec.problem import Problem


def check(document: Document, *, tickets: bool = True) -> list[Problem]:
    """Every contradiction within ``document`` (canonical field names), which may still break the schema.

    ``tickets`` is False for a rig that was changed since its weighings: those name what was aboard then.
    """
    return [
        *references.check(document, tickets=tickets),
        *suspension.check(document),
        *movables.check(document),
        *tyres.check(document),
    ]
