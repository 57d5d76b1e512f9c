"""Questions put and answers taken, at a terminal or by a script: lists with search, taking back, correcting.

At any question ``<`` or "back" takes the last answer back, ``=`` shows all answers, ``=4`` asks the fourth
anew, ``?`` or "help" lists what may be chosen, "q", "quit", "exit" or "stop" leaves. Such a word is an answer
only where it is found among choices.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Protocol

from panelmend.document.interview import SAME, Answers, Question
from panelmend.errors import InputError
from panelmend.long_work import Tell

SHOWN = 12  # choices of a list that are shown at once
LETTERS = "abcdefghijklmnopqrstuvwxyz"
BACK, ALL, LIST, LEAVE = "<", "=", "?", "q"
WORDS = {"back": BACK, "help": LIST, "q": LEAVE, "quit": LEAVE, "exit": LEAVE, "stop": LEAVE}


class Left(KeyboardInterrupt):
    """Whoever is asked leaves, by a word; as with Ctrl-C everything that was answered is kept."""


class Script(Protocol):
    """What is asked, what an answer may be, and the text that the answers make."""

    def questions(self, answers: Answers) -> Iterable[Question]:
        """Every question in order that the answers so far call for."""

    def accept(self, question: Question, text: str, answers: Answers) -> str:
        """The answer as it is kept; InputError where it cannot be used."""

    def draft(self, answers: Answers) -> str:
        """The document as text."""


Beside = Callable[[Question, str], tuple[str, dict[str, str]]]
"""Parts a line that answers more than its question: the answer, and those of later ones by their path."""


class Dialogue:
    """One asking: what was answered, and how it goes on.

    Args:
        script: what is asked.
        read: asks with a label and gives what was typed.
        say: prints a line.
        keep: called with all the answers after each of them.
        answers: those of an earlier asking.
        beside: what else a line may say; None where each line answers its question alone.
    """

    def __init__(
        self,
        script: Script,
        read: Callable[[str], str],
        say: Tell,
        keep: Callable[[dict[str, str]], None],
        answers: dict[str, str] | None = None,
        beside: Beside | None = None,
    ) -> None:
        self.script, self._read, self._say, self._keep = script, read, say, keep
        self._beside = beside
        self.answers: dict[str, str] = dict(answers or {})
        self.asked = 0  # questions put, each once
        self.refused = 0  # answers that could not be used
        self._put: set[str] = set()

    def run(self) -> dict[str, str]:
        """Ask until nothing is open; all the answers, usual ones of what was not asked among them."""
        while (question := self._open()) is not None:
            self._ask(question)
        return self.whole()

    def whole(self) -> dict[str, str]:
        """The answers so far, with the usual ones of what is not asked."""
        made = dict(self.answers)
        for q in self.script.questions(self.answers):
            if q.quiet:
                made.setdefault(q.path, q.usual)
        return made

    def command(self, typed: str) -> bool:
        """Obey one of the commands; whether it was one."""
        if typed == BACK:
            self._back()
        elif typed == ALL:
            self.show()
        elif match := re.fullmatch(r"=\s*(\d{1,3})", typed):
            self.correct(int(match[1]))
        else:
            return False
        return True

    def show(self) -> None:
        """Print every answer with its number."""
        whole = self.whole()
        for i, q in enumerate(self._answered(), 1):
            not_asked = q.quiet and q.path not in self.answers
            self._say(
                f"  {i:>2}  {q.words}: {whole[q.path] or 'none'}{'   (not asked)' if not_asked else ''}"
            )

    def correct(self, number: int) -> None:
        """Ask one question anew; the answers that no longer fit are asked again, too."""
        answered = self._answered()
        if not 1 <= number <= len(answered):
            self._say(
                f"  There are answers 1 to {len(answered)}." if answered else "  Nothing is answered yet."
            )
            return
        question = answered[number - 1]
        old = self.whole()[question.path]
        self._say(f"  So far: {old or 'none'}")
        self._ask(question, old)

    def _open(self) -> Question | None:
        """The first question without an answer, or with one that can no longer be used."""
        for q in self.script.questions(self.answers):
            if q.path not in self.answers:
                if q.quiet:
                    continue
                return q
            try:
                self.script.accept(q, self.answers[q.path], self.answers)
            except InputError as error:
                self._say(f"\n  {q.words}: {self.answers[q.path]!r} can no longer be used: {error}")
                del self.answers[q.path]
                return self._open()
        return None

    def _answered(self) -> list[Question]:
        return [q for q in self.script.questions(self.answers) if q.quiet or q.path in self.answers]

    def _back(self) -> None:
        before = [q for q in self._answered() if not q.quiet]
        if not before:
            self._say("  This is the first question.")
            return
        del self.answers[before[-1].path]
        self._keep(self.answers)

    def _ask(self, question: Question, old: str | None = None) -> bool:
        """Put one question until it is answered, or something else is wanted; whether it was answered."""
        if question.path not in self._put:
            self._put.add(question.path)
            self.asked += 1
        self._say(f"\n{question.words}" + (f": {question.why}" if question.why else ""))
        shown = self._list(question, question.choices) if question.choices else ()
        left: tuple[str, ...] = ()
        while True:
            typed = _meant(self._read(_label(question, old)).strip(), question, shown)
            if typed is None:
                raise Left
            if typed == LIST and question.choices:
                shown = self._list(question, question.choices, all_=True)
                continue
            if typed == LIST:
                self._say(f"  {question.kind}{f'; such as {question.example}' if question.example else ''}.")
                self._say("  < takes back, = shows all answers, q stops and keeps them.")
                continue
            if typed == BACK and old is not None:
                return False
            if old is None and self.command(typed):
                return False
            if not typed and old is not None:
                return False
            if not question.needed and typed.casefold() == "none":
                self.answers[question.path] = ""
                self._keep(self.answers)
                return True
            given = typed or ("" if question.quiet else question.usual)
            if question.before and typed.casefold() == SAME:
                given = question.before
                self._say(f"  = {given}")
            more: dict[str, str] = {}
            if self._beside is not None and given and not found_in(question, given, shown, left):
                try:
                    given, more = self._beside(question, given)
                except InputError as error:
                    self.refused += 1
                    self._say(f"  {error}")
                    continue
            if question.choices and given and question.kind != "words":
                found = found_in(question, given, shown, left)
                if len(found) > 1:
                    left = found
                    self._say(f"  {len(found)} of them:")
                    shown = self._list(question, found)
                    continue
                given = found[0] if found else given
            if question.choices and question.kind == "words":
                given = _each_found(question, given, shown)
            try:
                made = self.script.accept(question, given, self.answers)
            except InputError as error:
                self.refused += 1
                self._say(f"  {error}")
                continue
            if made != typed and question.choices:
                self._say(f"  = {_choice_words(question, made)}")
            self.answers[question.path] = made
            self._keep(self.answers)
            self._take(more)
            return True

    def _take(self, more: dict[str, str]) -> None:
        """Keep what a line said of later questions; what cannot be used is asked."""
        for path, text in more.items():
            question = next((q for q in self.script.questions(self.answers) if q.path == path), None)
            found: tuple[str, ...] = ()
            if question is not None:
                found = found_in(question, text, ()) if question.choices else (text,)
            if question is None or len(found) != 1:
                why = "nothing asks for it here" if question is None else "not one of the list"
                self._say(f"  {text!r} is not taken: {why}")
                continue
            try:
                made = self.script.accept(question, found[0], self.answers)
            except InputError as error:
                self._say(f"  {question.words}: {error}")
                continue
            self._say(f"  {question.words}: {made}")
            self.answers[path] = made
            self._keep(self.answers)

    def _list(self, question: Question, choices: tuple[str, ...], *, all_: bool = False) -> tuple[str, ...]:
        """Print choices, each with its letter; those that a letter means."""
        many = len(choices) if all_ else SHOWN
        shown = choices[: min(many, len(LETTERS))]
        for letter, value in zip(LETTERS, shown, strict=False):
            self._say(f"  {letter}  {_choice_words(question, value)}")
        if len(choices) > len(shown):
            self._say(f"  and {len(choices) - len(shown)} more: type a part of the name or title, or ?")
        return shown


def found_in(
    question: Question, typed: str, shown: tuple[str, ...], left: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """The choices that what was typed means.

    The one of this very name, or the letter of one that is shown; else those in whose name or title the
    words stand together, or all of them stand, or begin a word, or stand anywhere: the first of these ways
    that finds any, so that ``Repair 1`` is not Repair 12. ``left`` is what an earlier search left.
    """
    folded = " ".join(typed.split()).casefold()
    whole = tuple(c for c in question.choices if c.casefold() == folded)
    if whole:
        return whole
    if len(folded) == 1 and folded in LETTERS[: len(shown)]:
        return (shown[LETTERS.index(folded)],)
    said = dict(zip(question.choices, question.said, strict=False))
    texts = {c: f"{c} {said.get(c, '')}".casefold() for c in question.choices}
    words = [re.escape(w) for w in folded.split()]
    ways = (
        [rf"(?<!\w){' '.join(words)}(?!\w)"],
        [rf"(?<!\w){w}(?!\w)" for w in words],
        [rf"(?<!\w){w}" for w in words],
        words,
    )
    for patterns in ways:
        found = tuple(c for c, text in texts.items() if all(re.search(p, text) for p in patterns))
        if found:
            among = tuple(c for c in found if c in left)  # a second word looks among what the first one left
            return among or found
    return ()


def _each_found(question: Question, typed: str, shown: tuple[str, ...]) -> str:
    """Several choices with commas between them, by name, part of it, or letter; as typed where not clear."""
    said = [found_in(question, word, shown) or (word.strip(),) for word in typed.split(",")]
    return ", ".join(found[0] for found in said) if all(len(f) == 1 for f in said) else typed


def _meant(typed: str, question: Question, shown: tuple[str, ...]) -> str | None:
    """What was typed, a word for a command as its sign; None where somebody leaves."""
    sign = WORDS.get(typed.casefold())
    if sign is None or (question.choices and found_in(question, typed, shown) and len(typed) > 1):
        return typed
    if len(typed) == 1 and typed.casefold() in LETTERS[: len(shown)]:
        return typed
    return None if sign == LEAVE else sign


def _choice_words(question: Question, value: str) -> str:
    said = dict(zip(question.choices, question.said, strict=False)).get(value, "")
    return f"{value}   {said}" if said else value


def _label(question: Question, old: str | None) -> str:
    hints = []
    if question.example and not question.choices:
        hints.append(f"such as {question.example}")
    if question.before:
        hints.append(f"{SAME}: {question.before}")
    if old is not None:
        hints.append("Enter keeps it")
    elif question.usual:
        hints.append(f"Enter: {question.usual}")
    elif not question.needed:
        hints.append("Enter: none")
    return f"  {question.path}" + (f" ({'; '.join(hints)})" if hints else "")
