"""The talk itself: which question is next, what is done with an answer, and how one goes back, leaves out or leaves."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from rigmargin.spec.problem import printable
from rigmargin.spec.settings import Settings
from rigmargin.start import checked, questions, reading, wording
from rigmargin.start.answers import Answers, Data
from rigmargin.start.questions import Question, Section

HELP, BACK, SKIP, STOP = "?", "back", "skip", "stop"


class Left(Exception):
    """The person has gone: nothing more will be answered."""


class Asker(Protocol):
    """Whoever answers."""

    def __call__(self, question: Question) -> str:
        """The line typed in answer to a question that was shown. Raises Left."""


@dataclass(frozen=True, slots=True)
class State:
    """How far the talk has come."""

    answers: Answers
    done: frozenset[Question] = frozenset()  # answered or left out in this talk
    asides: Mapping[Question, str] = field(default_factory=dict)
    unit: str = ""  # of a mass that is typed without one

    def next(self) -> Question | None:
        """What is asked next; None when nothing is left."""
        return next((each for each in questions.every() if self.open(each)), None)

    def open(self, question: Question) -> bool:
        """Whether a question is still to be asked."""
        if question in self.done or not question.asked(self.answers.known):
            return False
        if question.ask == "@masses":
            return not self.unit
        if question.aside:
            return any(each.section == question.section and not each.aside and self.open(each) for each in questions.every())
        if question.path[0] == "weighings" and question.path[2] != "increment" and not self.answers.at(_increment(question)):
            return False  # a reading whose step is unknown cannot be kept
        return not self.answers.settles(question.path)


def _increment(question: Question) -> tuple[str, ...]:
    return (*question.path[:2], "increment")


@dataclass(slots=True)
class Session:
    """One talk."""

    state: State
    settings: Settings
    ask: Asker
    say: Callable[[str], None]
    keep: Callable[[Answers], None]  # what is done with the answers after each that was accepted
    standing: Callable[[Answers], tuple[str, ...]]  # what can be judged so far
    trail: list[State] = field(default_factory=list)  # the states to go back to
    stood: Data | None = None  # of what the standing was told last

    def run(self) -> Answers:
        """Ask until nothing is left or the person leaves; the answers."""
        last: Question | None = None
        told: Section | None = None
        while (question := self.state.next()) is not None:
            if question.section != told:
                if told is not None:
                    self._stand()
                self._tell(*wording.heading(question.section, self.state.answers))
                told = question.section
            if question != last:
                self._tell(*wording.asked(question, self.state.answers, self.state.unit))
            last = question
            try:
                line = self.ask(question).strip()
            except Left:
                break
            if line.lower() == STOP:
                break
            if self._command(question, line):
                last = None if line.lower() == BACK else last
            elif self._leaves_out(question, line) or self._answer(question, line):
                last = None
        self._stand()
        return self.state.answers

    def _tell(self, *lines: str) -> None:
        for line in lines:
            self.say(line)

    def _stand(self) -> None:
        """Say what can be judged so far, unless it was said already."""
        answers = self.state.answers
        if answers.complete() and answers.data != self.stood:
            self.stood = answers.data
            self._tell("", *self.standing(answers))

    def _command(self, question: Question, line: str) -> bool:
        """Do what a word asks for that is no answer; whether it was one."""
        if line.lower() == HELP:
            self._tell(*wording.explained(question, self.state.answers, self.state.unit))
        elif line.lower() == BACK:
            if self.trail:
                self._go(self.trail.pop())
            else:
                self.say("This is the first question.")
        else:
            return False
        return True

    def _leaves_out(self, question: Question, line: str) -> bool:
        """Leave a question out, or the rest of its section; whether that was asked for and could be."""
        if line.lower() not in (SKIP, *reading.DONT_KNOW):
            return False
        state = self.state
        left = {question}
        if line.lower() == SKIP:
            left = {each for each in questions.every() if each.section == question.section}
        left = {each for each in left if not (each.needed and state.open(each))}
        if left:
            self._take(replace(state, done=state.done | left))
        if self.state.open(question):
            self.say(wording.NEEDED)
        return True

    def _answer(self, question: Question, line: str) -> bool:
        """Take an answer, or say what is wrong with it; whether it was taken."""
        state = self.state
        if question.aside:
            word = reading.chosen(question, line)
            if word not in reading.choices(question):
                self.say(f"Found '{printable(line)}'; expected {' or '.join(reading.choices(question))}.")
                return False
            unit = word if question.ask == "@masses" else state.unit
            changed = replace(state, done=state.done | {question}, asides={**state.asides, question: word}, unit=unit)
            self._take(changed)
            return True
        value = reading.value(question, line, state.unit, self._source(question))
        answers = state.answers.put(question.path, value)
        for name, word in question.brings:
            answers = answers.put((*question.path[:-1], name), word)
        wrong = checked.problems(state.answers, answers, question.path, self.settings)
        for problem in wrong:
            self.say(f"Not taken. {problem.text}.")
        if wrong:
            return False
        noted = value["value"] if isinstance(value, dict) else value
        if isinstance(noted, str) and noted != line:
            self.say(f"Noted: {printable(noted).replace('_', ' ')}.")
        self._take(replace(state, answers=answers, done=state.done | {question}))
        return True

    def _source(self, question: Question) -> str:
        """What a figure comes from, as far as the person has said so."""
        read = question.source and self.state.asides.get(questions.first_of(question.section)) == "yes"
        return question.source if read else ""

    def _take(self, state: State) -> None:
        self.trail.append(self.state)
        self._go(state)

    def _go(self, state: State) -> None:
        self.state = state
        self.keep(state.answers)
