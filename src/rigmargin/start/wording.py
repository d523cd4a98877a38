"""How a question is asked, in the words of the rig schema and of the place: plain lines, to be read or read out."""

from __future__ import annotations

from rigmargin.report.names import capital, uncapital
from rigmargin.spec import units
from rigmargin.spec.problem import printable
from rigmargin.start import reading, regional
from rigmargin.start.answers import Answers
from rigmargin.start.questions import Question, Section

OPENING = (
    "Answer in the words and units that are printed. An empty line, or: don't know, leaves a figure out.",
    "Other words: ? explains the question, back goes one question back, skip leaves out the rest of a section, and stop "
    "keeps what was answered and ends.",
)
NEEDED = "The file cannot be read without this. Answer it, or say: stop."
_ASIDES = {
    "@masses": (
        "Which unit do your labels and tickets use for weights?",
        "A bare number is then taken to be in it. Without it, write the unit with each figure.",
    ),
}


def resumed(file: str, edited: bool) -> str:
    """That a file is gone on with."""
    kept = " It was edited by hand: every line of it stays, and answers are added." if edited else ""
    return f"{printable(file)} is there already: only what it does not say is asked.{kept}"


def closing(file: str, edited: bool) -> tuple[str, ...]:
    """What was written, and how to go on."""
    name = printable(file)
    comments = "" if edited else " What is not known stands there in lines that begin with '#', with where to find it."
    return (
        f"{name} is written.{comments}",
        f"To go on: edit it, or run: rigmargin start {name}",
        f"For the whole report: rigmargin report {name} --to report.html",
    )


def heading(section: Section, answers: Answers) -> tuple[str, ...]:
    """What a section is about."""
    return tuple(regional.spelt(text, answers.known) for text in ("", f"Section: {section.name}.", section.told(answers.known)))


def asked(question: Question, answers: Answers, unit: str) -> tuple[str, ...]:
    """The question: what is asked for, where it is printed or how it is measured, and what there is to choose from."""
    named: tuple[str, ...] = ()
    if question.aside:
        lines = [_aside(question)[0]]
    else:
        mass = question.node.get("x-dimension") == "mass"
        named = (f"{title(question, answers)}{f', in {unit}' if unit and mass else ''}.",)
        lines = [str(question.node["description"])]
    lines += [question.also] if question.also else []
    lines += [f"{number} for {word.replace('_', ' ')}" for number, word in enumerate(reading.choices(question), 1)]
    return (*named, *(regional.spelt(line, answers.known) for line in lines))


def explained(question: Question, answers: Answers, unit: str) -> tuple[str, ...]:
    """The question again, and how an answer is written."""
    if question.aside:
        return _aside(question)
    node = question.node
    dimension = node.get("x-dimension")
    lines = list(asked(question, answers, unit))
    if dimension:
        bare = f" A number alone is taken to be in {unit}." if unit and dimension == "mass" else ""
        lines.append(f"Write a number, one space and a unit: {units.EXAMPLES[dimension]}.{bare}")
    elif node.get("examples"):
        lines.append(f"Write it for example like this: {_example(node['examples'][0])}.")
    lines.append(
        NEEDED if question.needed else "If you do not know it, leave it empty: the file says in a comment where to find it."
    )
    return tuple(lines)


def title(question: Question, answers: Answers) -> str:
    """The question's name: whose it is, the schema's title, and the word of the place."""
    own = regional.spelt(str(question.node["title"]), answers.known)
    words = [regional.word(".".join(question.path[: n + 1]), answers.known) for n in range(len(question.path))]
    spoken = next((word.long for word in words if word and word.long), "")
    if spoken and words[-1]:  # the place's word for the very field says what the title says
        own = spoken
    elif spoken:
        own = f"{own}, {spoken}"
    return f"{capital(regional.spelt(question.of, answers.known))}: {uncapital(own)}" if question.of else capital(own)


def _aside(question: Question) -> tuple[str, str]:
    return _ASIDES.get(question.ask) or (
        question.words or "Do you have it before you, or a photo of it, and read the figures of this section there?",
        "Yes: the file says of each of these figures that it comes from there. Otherwise it names no source, and the report "
        "says that the source is not stated.",
    )


def _example(example: object) -> str:
    return ", ".join(map(str, example)) if isinstance(example, list) else str(example)
