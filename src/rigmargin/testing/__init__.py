"""Cases for rules and for regulation files, run through the engine: for rigmargin's own and for those of a plugin."""

from rigmargin.testing.cases import Case, load_cases, run_case, run_cases
from rigmargin.testing.law import run_boundaries, run_regulation, unpinned

__all__ = ["Case", "load_cases", "run_boundaries", "run_case", "run_cases", "run_regulation", "unpinned"]
