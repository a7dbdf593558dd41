"""The reasons: which entries weighed most, which causes cannot be told apart, and the one sentence of `why`."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.data import phrase, table
from tunekit.diagnosis.advice import Evidence as Weighed
from tunekit.diagnosis.moves import Situation
from tunekit.diagnosis.questions import Question
from tunekit.session import Heard, LogEntry, Measured
from tunekit.session.vocabulary import YES_NO

Floats = NDArray[np.floating[Any]]
TOP = 6
"""Causes about which an entry may be said to speak."""


class Reasons:
    """Each word and look of the log against the belief without it."""

    def __init__(self, situation: Situation, chance: Floats, log: tuple[LogEntry, ...]) -> None:
        self.situation, self.log = situation, log
        self.names, self.chance = situation.names, chance
        entries, terms = situation.update.terms(situation.sets, situation.quiet)
        self.entries = entries
        self.factor = self._factors(terms)

    def _factors(self, terms: Floats) -> Floats:
        """How many times each word or look multiplied the odds of each cause; shape (words + looks, causes)."""
        present = self.situation.present.astype(float)
        chance = self.situation.weight @ present
        if not terms.shape[1]:
            return np.ones((0, len(self.names)))
        without = self.situation.weight[:, None] * np.exp(np.clip(-terms, 0, 12))
        without /= without.sum(axis=0)
        before = np.clip(without.T @ present, 1e-4, 1 - 1e-4)
        after = np.clip(chance, 1e-4, 1 - 1e-4)
        return np.asarray((after / (1 - after)) / (before / (1 - before)))

    def strongest(self, count: int = 3) -> tuple[Weighed, ...]:
        """The entries that moved the odds of a leading cause most."""
        leading = np.argsort(-self.chance, kind="stable")[:TOP]
        if not len(self.entries) or not len(leading):
            return ()
        pull = np.abs(np.log(self.factor[:, leading]))
        order = np.argsort(-pull.max(axis=1), kind="stable")[:count]
        out = []
        for row in order:
            cause = int(leading[int(pull[row].argmax())])
            factor = round(float(self.factor[row, cause]), 2)
            out.append(Weighed(entry=self.entries[row][0], cause=self.names[cause], factor=factor))
        return tuple(out)

    def cause_of(self, kind: str, what: str) -> str | None:
        """The likeliest cause that a repair is meant for."""
        causes = table("causes")
        meant = [
            n
            for n, name in enumerate(self.names)
            if f"{kind}.{what}" in causes.get(name, {}).get("mends", {})
        ]
        return self.names[max(meant, key=lambda n: self.chance[n])] if meant else None

    def why_repair(self, kind: str, what: str) -> str:
        """One sentence for a repair: what in the log speaks for it."""
        cause = self.cause_of(kind, what)
        if cause is None:
            return ""
        number = self.names.index(cause)
        percent = percent_of(float(self.chance[number]))
        spoken = [
            n for n in np.argsort(-self.factor[:, number], kind="stable") if self.factor[n, number] > 1.1
        ]
        if not spoken:
            return _capital(phrase("diagnosis", "why.repair_plain", cause=cause_text(cause), percent=percent))
        evidence = entry_text(self.log[self.entries[spoken[0]][0]])
        if len(spoken) > 1:
            key = "evidence.and_one" if len(spoken) == 2 else "evidence.and_more"
            evidence = phrase("diagnosis", key, first=evidence, count=len(spoken) - 1)
        return _capital(
            phrase("diagnosis", "why.repair", evidence=evidence, cause=cause_text(cause), percent=percent)
        )

    def why_question(self, question: Question, saved: float) -> str:
        """One sentence for a look or a ride: what it tells apart."""
        told = self._told_by(question)
        first = cause_text(self.names[told[0]])
        percent = percent_of(float(self.chance[told[0]]))
        if question.kind == "heard":
            return phrase("diagnosis", "why.ride", first=first, percent=percent)
        if question.again:
            return phrase("diagnosis", "why.ask_again", first=first, percent=percent)
        if len(told) > 1 and saved >= 0.5:
            second = cause_text(self.names[told[1]])
            return phrase("diagnosis", "why.ask", first=first, second=second, saved=round(saved) or 1)
        return phrase("diagnosis", "why.ask_one", first=first, percent=percent)

    def _told_by(self, question: Question) -> list[int]:
        """Causes whose probability an answer moves most: the most moved, then the likeliest of the rest."""
        answers = question.answers[:-1]
        weight, present = self.situation.weight, self.situation.present.astype(float)
        after = (weight[:, None] * answers).T @ present
        mass = weight @ answers
        swing = (mass[:, None] * np.abs(after / mass[:, None] - self.chance)).sum(axis=0)
        first = int(swing.argmax())
        rest = [
            int(n) for n in np.argsort(-self.chance, kind="stable") if n != first and self.chance[n] > 0.02
        ]
        return [first, *rest[:1]]


def percent_of(chance: float) -> int:
    """A chance in whole percent, never quite certain either way."""
    return min(max(round(100 * chance), 1), 99)


def cause_text(name: str) -> str:
    """A cause's label in the middle of a sentence."""
    return lower_first(str(table("words/vocabulary")["cause"][name]["label"]))


def lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def entry_text(entry: LogEntry) -> str:
    """What an entry said, short."""
    words = table("words/vocabulary")
    if isinstance(entry, Heard):
        gear = (
            f" {entry.ring} × {entry.cog}"
            if entry.ring and entry.cog
            else f" {entry.cog or entry.ring or ''}".rstrip()
        )
        place = f" ({gear.strip()})" if gear.strip() else ""
        what = lower_first(words["heard"][entry.what]["label"])
        return phrase(
            "diagnosis",
            "evidence.words",
            what=what,
            moment=phrase("diagnosis", f"moment.{entry.moment}"),
            gear=place,
        )
    if isinstance(entry, Measured):
        return phrase(
            "diagnosis",
            "evidence.look",
            what=lower_first(words["measured"][entry.what]["label"]),
            value=_reading(entry),
        )
    return ""


def _reading(entry: Measured) -> str:
    """Yes or no, or the figures."""
    if entry.what in YES_NO:
        return phrase("diagnosis", "evidence.yes" if entry.value else "evidence.no")
    figures = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    return " / ".join(f"{figure:g}" for figure in figures)
