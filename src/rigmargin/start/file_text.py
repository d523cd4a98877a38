"""The text of a rig file that was begun by questions: what was answered, and where to find what was not, as comments.

It follows from the data alone, so that a file which nobody has edited can be told from one that somebody has.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rigmargin.spec import schema
from rigmargin.spec.insertion import written
from rigmargin.spec.schema import Schema
from rigmargin.start import questions, regional
from rigmargin.start.answers import Answers
from rigmargin.start.questions import Question

HEAD = """\
# A rig file. rigmargin reads it, and you may go on editing it.
# A field in a line that begins with '#' is not known yet: delete the '#' and the one blank behind it, in the lines above
# that it is indented under too, and write the figure.
"""
_EMPTY = "{}  # delete these brackets when you add a line below"
Todo = dict[str, Any]  # names to further names, and in the end to a question or to a word that its answer brings


def text(answers: Answers) -> str:
    """The whole file."""
    return HEAD + "\n".join(_fields(answers.data, _todo(answers), schema.rig(), "", answers)) + "\n"


def open_questions(answers: Answers) -> tuple[Question, ...]:
    """What is asked of this rig and not answered."""
    return tuple(
        each for each in questions.every() if not each.aside and each.asked(answers.known) and not answers.settles(each.path)
    )


def _todo(answers: Answers) -> Todo:
    tree: Todo = {}
    for question in open_questions(answers):
        *above, last = answers.names(question.path)
        here = tree
        for name in above:
            here = here.setdefault(name, {})
        here[last] = question
        here.update(question.brings)
    return tree


def _fields(data: Mapping[str, Any], todo: Todo, node: Schema, indent: str, answers: Answers) -> list[str]:
    """The lines of one mapping, in the order of the schema."""
    table, properties = schema.synonym_table(node), list(node.get("properties", {}))
    order = {name: properties.index(table.get(name, name)) for name in (*data, *todo) if name in properties}
    lines: list[str] = []
    for name in sorted(dict.fromkeys((*data, *todo)), key=lambda name: order.get(name, len(properties))):
        child: Schema = node.get("properties", {}).get(name) or node.get("additionalProperties") or {}
        below = todo.get(name, {})
        if name not in data:
            lines += [f"{indent}# {line}" for line in _commented(name, below, answers)]
        elif name == "weighings" and isinstance(data[name], list):
            lines += [f"{indent}{name}:", *_tickets(data[name], below, child["items"], f"{indent}  ", answers)]
        else:
            lines += _field(name, data[name], below, child, indent, answers)
    return lines


def _field(name: str, value: Any, below: Any, node: Schema, indent: str, answers: Answers) -> list[str]:
    """What is known of one field, and what is not yet known below it."""
    if not isinstance(value, Mapping) or "value" in value:
        said = node.get("title") if "x-dimension" in node else None
        comment = f"  # {regional.titled(name, said, answers.known)}" if said else ""
        return [f"{indent}{written(name)}: {written(value)}{comment}"]
    lines = _fields(value, below if isinstance(below, dict) else {}, node, f"{indent}  ", answers)
    if value:
        return [f"{indent}{written(name)}:", *lines]
    return [f"{indent}{written(name)}: {_EMPTY if lines else '{}'}", *lines]


def _tickets(data: list[Any], todo: Todo, node: Schema, indent: str, answers: Answers) -> list[str]:
    lines = []
    asked = dict(todo)
    for ticket in data:
        below = asked.pop(ticket.get("state"), {})
        first, *more = _fields(ticket, below, node, "", answers)
        lines += [f"{indent}- {first}", *(f"{indent}  {line}" for line in more)]
    for state, below in asked.items():
        lines += [f"{indent}# {line}" for line in _ticket(state, below, answers)]
    return lines


def _commented(name: str, below: Todo | Question | str, answers: Answers) -> list[str]:
    """The lines of what is not known yet, without the mark before each."""
    if isinstance(below, str):
        return [f"{written(name)}: {written(below)}"]
    if isinstance(below, Question):
        words = ", ".join(_choice(str(each), answers) for each in below.node.get("enum", ()))
        where = str(below.node["description"]).partition(". ")[2]
        title = regional.titled(name, str(below.node["title"]), answers.known)
        return [f"{written(name)}:  # {title}. {regional.spelt(where, answers.known)}{f' One of: {words}.' if words else ''}"]
    if name == "weighings":
        lines = [line for state, fields in below.items() for line in _ticket(state, fields, answers)]
    else:
        lines = [line for each, fields in below.items() for line in _commented(each, fields, answers)]
    return [f"{written(name)}:", *(f"  {line}" for line in lines)]


def _choice(word: str, answers: Answers) -> str:
    """A word that the file may hold, with what the place calls it."""
    said = regional.spelt(word, answers.known)
    return word if said == word else f"{word} ({said})"


def _ticket(state: str, fields: Todo, answers: Answers) -> list[str]:
    return [f"- state: {state}", *(f"  {line}" for name, below in fields.items() for line in _commented(name, below, answers))]
