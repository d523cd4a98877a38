"""The written forms of an answer: what each command's page and JSON have in common."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, TypeVar

T = TypeVar("T")


def forms(
    name: str, view: Callable[[T, str], object], document: Callable[[T], dict[str, Any]]
) -> tuple[Callable[[T, str], str], Callable[[T, str], str], Callable[[T, str], str]]:
    """HTML, Markdown and JSON of an answer, each as text from the answer and a system of units.

    The first two are the templates of that name over its view: one self-contained page, and Markdown for a code host. JSON is
    its document, whose units do not depend on the system.
    """

    def page(ending: str) -> Callable[[T, str], str]:
        def rendered(answer: T, system: str) -> str:
            from rigmargin.report import rendering  # Jinja is only needed here

            return rendering.page(f"{name}.{ending}", view(answer, system))

        return rendered

    def text(answer: T, _: str) -> str:
        return json.dumps(document(answer), indent=1, ensure_ascii=False, allow_nan=False) + "\n"

    return page("html"), page("md"), text
