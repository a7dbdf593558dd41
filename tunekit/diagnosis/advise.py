"""`advise`: the log in, the belief and the next thing to do out."""

from collections import Counter
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.data import phrase, table
from tunekit.diagnosis.advice import Advice, Cause, Gear, Move, Offset, Tie
from tunekit.diagnosis.belief import Belief, believe
from tunekit.diagnosis.choose import Choice, Lean, Problem, choose, found_by, told_of
from tunekit.diagnosis.evidence import Evidence, first_round, read
from tunekit.diagnosis.explain import Reasons
from tunekit.diagnosis.hands import moved_per_unit
from tunekit.diagnosis.moves import Situation
from tunekit.diagnosis.places import Place
from tunekit.diagnosis.questions import Question, Questions
from tunekit.diagnosis.reports import steps_by_custom
from tunekit.diagnosis.safety import Safety, last_work
from tunekit.session import Session, Turned
from tunekit.session.session import check_log

Floats = NDArray[np.floating[Any]]
STUBBORN_CHANCE = 0.004
"""A cause less likely than this is not looked for however stubborn a trouble is."""
THROWN = ("fell_inside", "fell_outside", "comes_off")
"""Words for a chain that came off: where that happened is ridden again first."""
TELLING = 0.6
"""Share of all that a look can tell of a cause from which it is worth taking for it."""
LISTED = 12
"""Causes told."""


def advise(session: Session, seed: int = 0) -> Advice:
    """What is wrong and what to do next.

    The belief is worked out by enumeration, so the same session gives the same advice whatever the seed; `seed` is
    kept so that callers can state it. Entries that cannot be about this bike are set aside by name, never fatal.
    """
    del seed
    check_log(session.bike, session.log)
    evidence = read(session)
    belief = believe(session.bike, evidence)
    return _Answer(session, evidence, belief).advice()


class _Answer:
    """Puts the advice together from the belief."""

    def __init__(self, session: Session, evidence: Evidence, belief: Belief) -> None:
        self.session, self.evidence, self.belief = session, evidence, belief
        self.safety = Safety(session)
        self.whole = Situation(belief)
        self.situation = self.whole.thinned()
        self.reasons = Reasons(self.situation, self.whole.weight @ self.whole.present, session.log)
        self.questions = Questions(self.situation).all()
        self.problem = Problem(
            need=self.situation.need,
            mends=self.situation.mends,
            minutes=self.situation.repair_minutes,
            help_minutes=float(table("repairs")["help"]["minutes"]),
            answers=tuple(q.answers for q in self.questions),
            answer_minutes=np.array([max(q.minutes - q.saves, 0.0) for q in self.questions]),
            harm_minutes=float(table("repairs")["help"]["harm"]),
            puts_out=np.array(
                [kind == "turned" and what != "hanger" for kind, what in self.situation.repairs], bool
            ),
            proof_minutes=float(table("repairs")["ride"]["proof"]),
            miss_minutes=float(table("repairs")["help"]["missed"]),
            gauges=np.array([self.situation.read_by(q.axis) for q in self.questions]),
            lean=Lean(
                **{kind: float(minutes) for kind, minutes in table("repairs")["lean"]["minutes"].items()}
            ),
            first=np.array([q.first for q in self.questions]),
        )
        self.choices, self.plain = choose(self.problem, self.situation.weights)

    @property
    def clear(self) -> float:
        """Probability that nothing needs mending now; none while something is known to be wrong."""
        if self.safety.facts:
            return 0.0
        return float(self.whole.weights @ ~self.whole.need.any(axis=1))

    def _next(self, moves: list[Move]) -> Move | None:
        """A reading in doubt is taken again, then what is known, by danger; only then what is likely."""
        again = self.safety.taken_again()
        if again is not None:
            return again
        if self.safety.facts:
            return self.safety.remedy()
        chosen = self._first(moves) or self._thrown() or self._stubborn()
        return None if chosen is None else next(iter(self.safety.made_safe([chosen])), None)

    def advice(self) -> Advice:
        moves = _once([move for move in map(self._move, self.choices) if move is not None])
        first = self._next(moves)
        moves = self.safety.made_safe(moves)
        rest = tuple(
            m
            for m in moves
            if first is None or (m.kind, m.what, m.cog) != (first.kind, first.what, first.cog)
        )
        return Advice(
            causes=self._causes(),
            next=first,
            runners_up=_varied(rest),
            offsets=self._offsets(first),
            quiet_mm=round(
                float(self.situation.weight @ self.situation.quiet_mm / self.situation.weight.sum()), 3
            ),
            clear=round(self.clear, 4),
            minutes_left=round(min(self.choices[0].minutes, self.plain), 1),
            minutes_left_without_look=round(self.plain, 1),
            evidence=self.reasons.strongest(),
            set_aside=tuple(sorted(self.evidence.set_aside, key=lambda s: s.entry)),
            ties=self._ties(),
            caution=None if first is None else first.caution,
            known=self.safety.facts,
            barred=tuple(sorted(self.safety.barred)),
            end=None if first is not None else "right" if self.clear >= 0.5 else "ask",
            sure=self.belief.covered and self.belief.unlisted < 0.5,
        )

    # --- causes -----------------------------------------------------------------------------------

    def _causes(self) -> tuple[Cause, ...]:
        chance = dict(zip(self.whole.names, (self.whole.weight @ self.whole.told).tolist(), strict=True))
        chance = self._with_swapped_wheel(chance)
        chance["nothing"] = float(self.whole.weight @ ~self.whole.present.any(axis=1))
        chance["something_else"] = self.belief.unlisted
        ranked = sorted(chance.items(), key=lambda item: -item[1])
        return tuple(Cause(name=name, probability=round(p, 4)) for name, p in ranked[:LISTED] if p >= 0.001)

    def _with_swapped_wheel(self, chance: dict[str, float]) -> dict[str, float]:
        """An index that went out with a wheel swap is named so, in the share that the swap explains."""
        odds = self.belief.states.odds
        index = [name for name in ("index_outboard", "index_inboard", "electronic_index") if name in chance]
        share = odds.get("wheel_swapped", 0.0) / (
            odds.get("wheel_swapped", 0.0) + sum(odds.get(n, 0.0) for n in index) + 1e-9
        )
        out = {name: p * (1 - share) if name in index else p for name, p in chance.items()}
        out["wheel_swapped"] = share * sum(chance[name] for name in index)
        return out

    def _ties(self) -> tuple[Tie, ...]:
        """The two leading causes, when neither is twice as likely as the other and one excludes the other."""
        chance = self.whole.weight @ self.whole.told
        order = [int(n) for n in np.argsort(-chance, kind="stable")[:2]]
        if len(order) < 2 or chance[order[1]] < 0.12 or chance[order[0]] > 2 * chance[order[1]]:
            return ()
        both = float(self.situation.weight @ self.situation.present[:, order].all(axis=1))
        if both > 0.5 * chance[order[1]]:
            return ()
        first, second = (self.situation.names[n] for n in order)
        return (Tie(first=first, second=second, check=self._separating(order)),)

    def _separating(self, pair: list[int]) -> Move | None:
        """The question whose answers differ most between two causes, a minute counting for a little."""
        present, weight = self.situation.present, self.situation.weight
        best, best_gain = None, 0.15
        for question in self.questions:
            told = [
                weight * present[:, n] @ question.answers[:-1] / max(float(weight @ present[:, n]), 1e-9)
                for n in pair
            ]
            gain = 0.5 * float(np.abs(told[0] - told[1]).sum()) - 0.02 * question.minutes
            if gain > best_gain:
                best, best_gain = question, gain
        return None if best is None else self._asked(best, 0.0)

    # --- the next thing to do ---------------------------------------------------------------------

    def _move(self, choice: Choice) -> Move | None:
        if not choice.is_repair:
            return self._asked(self.questions[choice.index], self.plain - choice.minutes)
        index = choice.index if choice.index < len(self.situation.repairs) else self._surest_repair()
        return None if index is None else self._repair(index)

    def _repair(self, index: int) -> Move:
        kind, what = self.situation.repairs[index]
        row = table("repairs")[kind][what]
        amount = self.situation.amount(what) if kind == "turned" else None
        return Move(
            kind=kind,
            what=what,
            amount=amount,
            cog=self._cog_of(kind, what),
            minutes=float(row["minutes"]),
            why=self.reasons.why_repair(kind, what),
            workshop=bool(row.get("workshop", False)),
        )

    def _surest_repair(self) -> int | None:
        """Where the price says to hand the bike on: what a workshop would most likely do, minutes no object."""
        mended = (self.situation.weights @ self.situation.need) @ self.situation.mends.T
        return int(mended.argmax()) if len(mended) and mended.max() > 0.02 else None

    def _cog_of(self, kind: str, what: str) -> int | None:
        """Which cog to replace or refit."""
        if (kind, what) != ("fitted", "cog"):
            return None
        chance: dict[int, float] = {}
        for row, weight in zip(self.situation.sets, self.situation.weight, strict=True):
            for setting in (self.belief.states.settings[n] for n in row if n):
                if setting.cog is not None:
                    chance[setting.cog] = chance.get(setting.cog, 0.0) + float(weight)
        return self.session.bike.cogs[max(chance, key=lambda c: chance[c])] if chance else None

    def _asked(self, question: Question, saved: float) -> Move:
        if question.kind == "heard" and not question.moment:
            return self._ride("why.doubt")
        gears = (
            (Gear(ring=question.ring, cog=question.cog, moment=question.moment),)
            if question.kind == "heard"
            else ()
        )
        return Move(
            kind=question.kind,
            what=question.what,
            ring=question.ring,
            cog=question.cog,
            minutes=question.minutes,
            why=self.reasons.why_question(question, saved),
            gears=(*gears, *self._worth_riding(gears)) if gears else (),
        )

    def _first(self, moves: list[Move]) -> Move | None:
        """The first choice, unless a ride must come first or nothing is left."""
        heard = bool(self.evidence.words or self.evidence.looks)
        worked = bool(self.evidence.turns or self.evidence.repairs)
        if not heard:
            return self._ride("why.proof" if worked else "why.nothing_heard")
        seen = self.evidence.since_last_work() or any(
            k.stage == self.evidence.stages - 1 for k in self.evidence.looks
        )
        if worked and not seen:
            return self._further_turn(moves) or self._ride("why.proof")
        if self._done():
            return None
        if not moves:
            return self._ride("why.proof") if self.clear < 0.5 else None
        work = moves[0].kind in ("turned", "fitted")
        if self.clear >= table("model")["stop"]["search"] and not (work and self._needed(moves[0])):
            return self._thrown() or self._proof()
        return self._by_custom() or moves[0]

    def _by_custom(self) -> Move | None:
        """The first step that a master takes for such a complaint, where the log is one and no hand was laid on.

        After that minutes, prices and what a look can tell decide.
        """
        weighed, evidence = table("reports"), self.evidence
        said = sum(len(word.entries) for word in evidence.words)
        begun = evidence.turns or evidence.repairs or len(evidence.looks) > weighed["first_looks"]
        if begun or said > weighed["first_words"]:
            return None
        looks = {(q.what): q for q in self.questions if q.kind == "measured"}
        repairs = {repair: n for n, repair in enumerate(self.situation.repairs)}
        taken = {look.what for look in evidence.looks}
        chances = {cause.name: cause.probability for cause in self._causes()}
        for kind, what, sign in steps_by_custom(chances):
            if kind == "measured" and what in looks and what not in taken:
                return self._asked(looks[what], 0.0)
            if (kind, what) in repairs:
                move = self._repair(repairs[kind, what])
                if not sign or (move.amount or 0.0) * sign > 0:
                    return move
        return None

    def _further_turn(self, moves: list[Move]) -> Move | None:
        """The next turn of a stop that is set in small turns, while it is more likely than not still off."""
        last = last_work(self.session)
        stops = table("interlocks")["looks_between"]
        if not moves or not isinstance(last, Turned) or last.what != moves[0].what or last.what not in stops:
            return None
        same_way = (moves[0].amount or 0.0) * (last.amount or 0.0) > 0
        return moves[0] if same_way and self.situation.chance_of_need(f"turned.{last.what}") >= 0.5 else None

    def _needed(self, move: Move) -> bool:
        """Whether a repair may well put something right, so that it is worth it on a bike that may be right."""
        needed = self.situation.chance_of_need(f"{move.kind}.{move.what}")
        return bool(needed >= table("model")["stop"]["least_needed"])

    def _proof(self) -> Move | None:
        """On a bike that may well be right: the look or ride that finds most of what may yet be wrong, or none.

        The same ear on the same bike: each further ride finds less.
        """
        stop, rides = table("model")["stop"], self._rides_since() - 1
        looks = np.array([question.kind != "heard" for question in self.questions])
        found = found_by(self.problem, self.situation.weights, np.where(looks, stop["astray"], 1.0))
        found[[question.kind == "heard" for question in self.questions]] *= stop["ride_again"] ** rides
        worth = found * stop["found"] - np.array([question.minutes for question in self.questions])
        best = int(worth.argmax())
        if worth[best] > 0:
            return self._asked(self.questions[best], 0.0)
        enough = stop["least_clear" if rides < stop["many_rides"] else "many_clear"]
        return None if self.clear >= enough else self._ride("why.doubt")

    def _done(self) -> bool:
        """Nothing is left, or what was heard is the gear itself and little else could be."""
        stop, situation = table("model")["stop"], self.situation
        harmless = float(situation.weight @ (situation.present & situation.harmless).any(axis=1))
        fault = float((situation.weights @ situation.need).max())
        enough = stop["least_clear"] if self._good_again() else stop["clear"]
        explained = self.clear >= stop["clear_of_harm"] and harmless >= stop["harmless"] * fault
        return bool(self.clear >= enough or explained)

    def _good_again(self) -> bool:
        """Whether since the last work all was clean, every place that was troubled before among it."""
        since = self.evidence.since_last_work()
        troubled = {word.place for word in self.evidence.words if word.what != "clean"}
        return (
            bool(troubled)
            and troubled <= {word.place for word in since if word.what == "clean"}
            and all(word.what == "clean" for word in since)
        )

    def _rides_since(self) -> int:
        """Rides since the last work: further ones tell less and less.

        The log does not say where one ended. What was heard after the first round is counted by a length halfway
        between that round, if all is swept again, and the few gears that a ride names.
        """
        words, named = self.evidence.since_last_work(), table("model")["stop"]["named"]
        first = first_round(words)
        again, round_of = sum(len(word.entries) for word in words) - first, max(first, named)
        return round(first / round_of + 2 * again / (round_of + named)) or 1

    def _ride(self, why: str) -> Move:
        minutes = float(table("repairs")["ride"]["minutes"])
        return Move(
            kind="heard",
            what="ride",
            minutes=minutes,
            why=phrase("diagnosis", why),
            gears=self._worth_riding(()),
        )

    def _worth_riding(self, known: tuple[Gear, ...]) -> tuple[Gear, ...]:
        """Gears troubled before, then a spread over the cassette, then the rest of it: the six heard least so far."""
        bike, heard = self.session.bike, Counter[Place]()
        for word in self.evidence.since_last_work():
            heard[word.place] += len(word.entries)
        troubled = [
            Gear(ring=w.place.ring, cog=w.place.cog, moment=w.place.moment)
            for w in sorted(self.evidence.words, key=lambda w: w.what not in THROWN)
            if w.what != "clean" and (w.place.cog is not None or w.place.moment.endswith("ring"))
        ]
        cogs, ring = bike.cogs, bike.rings[-1]
        spread = sorted({cogs[min(1, len(cogs) - 1)], cogs[len(cogs) // 2], cogs[-1]})
        sweep = [Gear(ring=ring, cog=cog, moment="to_larger_cog") for cog in spread]
        sweep += [
            Gear(ring=ring, cog=cog, moment="to_smaller_cog")
            for cog in sorted({cogs[0], cogs[len(cogs) // 2]}, reverse=True)
        ]
        sweep += [Gear(ring=ring, cog=cog, moment="pedalling") for cog in cogs]
        sweep += [Gear(ring=ring, cog=cog, moment="to_larger_cog") for cog in cogs[1:]]
        sweep += [Gear(ring=ring, cog=cog, moment="to_smaller_cog") for cog in cogs[-2::-1]]
        gears = [gear for gear in dict.fromkeys([*troubled, *sweep]) if gear not in known]
        gears.sort(key=lambda gear: heard[Place(gear.ring, gear.cog, gear.moment)])
        return tuple(gears[: 6 - len(known)])

    def _thrown(self) -> Move | None:
        """Before a bike is called right: a look at the stop past which the chain was thrown since the last work."""
        said = {f"{word.what} {word.place.moment}" for word in self.evidence.since_last_work()}
        for question in self.questions:
            if question.kind == "measured" and said & set(question.thrown):
                return replace(self._asked(question, 0.0), why=phrase("diagnosis", "why.thrown"))
        return None

    def _stubborn(self) -> Move | None:
        """Before a bike is called right: one more look for the likeliest cause of a trouble that keeps coming."""
        chance = (self.situation.weights @ self.situation.need)[:-1]
        if not self.evidence.stubborn() or not self.questions or chance.max(initial=0.0) < STUBBORN_CHANCE:
            return None
        looks = np.array([question.kind == "measured" for question in self.questions])
        told = looks * told_of(self.problem, self.situation.weights)[:, int(chance.argmax())]
        best = int(told.argmax())
        return self._asked(self.questions[best], 0.0) if told[best] > TELLING else None

    def _chance(self, name: str) -> float:
        if name not in self.situation.names:
            return 0.0
        return float(self.situation.weight @ self.situation.present[:, self.situation.names.index(name)])

    # --- the offsets ------------------------------------------------------------------------------

    def _offsets(self, move: Move | None) -> tuple[Offset, ...]:
        update, situation = self.belief.update, self.situation
        at = situation.offsets_mm
        after = update.offsets_mm(self._sets_after(move))[:, situation.now] + self._index_after(move)
        weight = situation.weight / situation.weight.sum()
        out = []
        for way, direction in enumerate(("to_larger_cog", "to_smaller_cog")):
            for place, cog in enumerate(self.session.bike.cogs):
                low, high = weighted_band(at[:, way, place], weight)
                out.append(
                    Offset(
                        cog=cog,
                        direction=direction,
                        mm=round(float(weight @ at[:, way, place]), 3),
                        low_mm=round(low, 3),
                        high_mm=round(high, 3),
                        after_mm=round(float(weight @ after[:, way, place]), 3),
                    )
                )
        return tuple(out)

    def _sets_after(self, move: Move | None) -> NDArray[np.intp]:
        """Hypotheses with the settings that a repair mends taken out."""
        if move is None or (move.kind == "turned" and move.what != "hanger"):
            return self.situation.sets
        mended = np.array(
            [
                bool(table("causes").get(s.cause, {}).get("mends", {}).get(f"{move.kind}.{move.what}"))
                for s in self.belief.states.settings
            ]
        )
        return np.where(mended[self.situation.sets], 0, self.situation.sets)

    def _index_after(self, move: Move | None) -> float:
        if move is None or move.kind != "turned" or move.amount is None:
            return 0.0
        axis, unit = moved_per_unit(self.session.bike)[move.what]
        return unit * move.amount if axis == "index" else 0.0


def _once(moves: list[Move]) -> list[Move]:
    """Each thing to do once, at its best place."""
    seen: dict[tuple[object, ...], Move] = {}
    for move in moves:
        seen.setdefault((move.kind, move.what, move.cog, move.gears), move)
    return list(seen.values())


def _varied(moves: tuple[Move, ...], count: int = 4) -> tuple[Move, ...]:
    """The following best, the best work of hands always among them: looks alone leave one who is not sure stuck."""
    shown = moves[:count]
    hands = [move for move in moves if move.kind in ("turned", "fitted")]
    if hands and not any(move.kind in ("turned", "fitted") for move in shown):
        shown = (*shown[: count - 1], hands[0])
    return shown


def weighted_band(values: Floats, weight: Floats, share: float = 0.9) -> tuple[float, float]:
    """The band that holds `share` of the weight between its two tails."""
    order = np.argsort(values, kind="stable")
    grown = np.cumsum(weight[order])
    tail = (1 - share) / 2
    low = values[order[np.searchsorted(grown, tail * grown[-1])]]
    high = values[order[min(np.searchsorted(grown, (1 - tail) * grown[-1]), len(values) - 1)]]
    return float(low), float(high)
