"""How many links to fit, which lengths work, and whether the present chain may stay.

The window is solved from the chain's path, but never starts below the rules' shortest: a chain too short
breaks things. The length to cut is the rule's for a bike of this kind, held inside the window.
"""

from dataclasses import dataclass, replace
from functools import cached_property

from tunekit.bike import Bike, TunekitError
from tunekit.fit.limits import links_text, named, words
from tunekit.fit.path import PathWindow, even_down, even_up, path_window, slop_links
from tunekit.fit.report import ChainAdvice, Gear
from tunekit.fit.rules import (
    beyond_capacity,
    needed_teeth,
    rule_lengths,
    rules_window,
    shortest_by_rule,
    too_long_by_rule,
    too_short_by_rule,
)

Span = tuple[int, int]
"""Shortest and longest even chain."""


@dataclass(frozen=True)
class _Lengths:
    """Everything that is known about this bike's chain before one is judged."""

    bike: Bike

    @cached_property
    def solved(self) -> PathWindow | TunekitError:
        return path_window(self.bike)

    @property
    def path(self) -> PathWindow | None:
        return None if isinstance(self.solved, TunekitError) else self.solved

    @cached_property
    def by_rules(self) -> Span | None:
        return rules_window(self.bike)

    @cached_property
    def floor(self) -> int:
        """The least that is safe: the rules' shortest, or more where the path asks for more."""
        rule = shortest_by_rule(self.bike)
        return rule if self.path is None else max(rule, even_up(self.path.lowest))

    @cached_property
    def by_path(self) -> Span | None:
        """What the chain's path allows, from the floor up; None when nothing does."""
        if self.path is None:
            return None
        longest = even_down(self.path.highest + slop_links())
        return (self.floor, longest) if longest >= self.floor else None

    @cached_property
    def window(self) -> Span | None:
        return self.by_rules if self.path is None else self.by_path

    @cached_property
    def best(self) -> int:
        """The rule's length for a bike of this kind, held inside the window."""
        applying = next(rule for rule in rule_lengths(self.bike) if rule.applies).links
        if self.window is None:
            return self.floor
        return min(max(applying, self.window[0]), self.window[1])

    @cached_property
    def leave_alone(self) -> tuple[Gear, ...]:
        """Gears to give up when no length works in every gear."""
        if self.window is not None:
            return ()
        return self.too_long(self.best) or beyond_capacity(self.bike)

    def too_short(self, links: int) -> tuple[Gear, ...]:
        by_rule = too_short_by_rule(self.bike, links)
        by_path = () if self.path is None else self.path.too_short(links)
        return tuple(gear for gear in _gears(self.bike) if gear in by_rule or gear in by_path)

    def too_long(self, links: int) -> tuple[Gear, ...]:
        return too_long_by_rule(self.bike, links) if self.path is None else self.path.too_long(links)


def _gears(bike: Bike) -> tuple[Gear, ...]:
    return tuple((ring, cog) for ring in bike.rings for cog in bike.cogs)


def _present(bike: Bike, old: Bike | None) -> tuple[int | None, bool]:
    """The chain that is on and whether its length is only assumed."""
    counted = bike.chain.links if bike.chain.links is not None else (old.chain.links if old else None)
    if counted is not None or old is None:
        return counted, False
    return _Lengths(old).best, True


def size_chain(bike: Bike, *, old: Bike | None = None) -> ChainAdvice:
    """Links to fit, the window of lengths that work, every rule's answer, and may the present chain stay.

    `old` is the bike before a swap: its chain is the present one when the new bike's is not given.
    """
    lengths, rules = _Lengths(bike), rule_lengths(bike)
    window, by_rules, path = lengths.window, lengths.by_rules, lengths.path
    present, assumed = _present(bike, old)
    keep = None if present is None else window is not None and window[0] <= present <= window[1]
    change = None if present is None else 0 if keep else lengths.best - present
    return ChainAdvice(
        links=lengths.best,
        shortest=window and window[0],
        longest=window and window[1],
        basis="rules" if path is None else "geometry",
        rules=tuple(replace(rule, safe=rule.links >= lengths.floor) for rule in rules),
        rules_differ_links=max(r.links for r in rules) - min(r.links for r in rules),
        present=present,
        present_assumed=assumed,
        keep=keep,
        change_links=change,
        too_short=() if present is None else lengths.too_short(present),
        too_long=() if present is None else lengths.too_long(present),
        leave_alone=lengths.leave_alone,
        shortest_rules=by_rules and by_rules[0],
        longest_rules=by_rules and by_rules[1],
        path_shortest_links=path.lowest if path else None,
        path_longest_links=path.highest if path else None,
        path_best_links=path.best if path else None,
        why=_why(lengths, present, keep),
        notes=(*_notes(bike, old, present, assumed), *_disagreements(lengths, present)),
    )


def _why(lengths: _Lengths, present: int | None, keep: bool | None) -> str:
    """The verdict on the present chain, if there is one, and what to cut a new one to."""
    links, window = lengths.best, lengths.window
    if window is None:
        cut = words("chain.none", links=links, gears=named(lengths.leave_alone))
    else:
        said = "cut" if present is None else "kept" if keep else "new"
        key = f"chain.{said}{'_one' if window[0] == window[1] else ''}"
        cut = words(key, links=links, shortest=window[0], longest=window[1])
    return cut if present is None else f"{_verdict(present, links, keep)} {cut}"


def _verdict(present: int, links: int, keep: bool | None) -> str:
    if keep or present == links:
        return words("chain.keep" if keep else "chain.keep_without", present=present)
    key = "chain.add" if links > present else "chain.remove"
    return words(key, present=present, change=links_text(links - present), links=links)


def _notes(bike: Bike, old: Bike | None, present: int | None, assumed: bool) -> tuple[str, ...]:
    keys = {
        "wrap": True,
        "assumed": assumed,
        "worn": old is not None,
        "suspension": bike.frame.travel_growth_mm > 0,
    }
    return tuple(words(f"chain.{key}", present=present) for key, holds in keys.items() if holds)


def _disagreements(lengths: _Lengths, present: int | None) -> tuple[str, ...]:
    """Where the rules and the chain's path part ways, and why."""
    path, rules = lengths.path, lengths.by_rules
    if path is None:
        return (words("chain.disagree.unsolved", reason=str(lengths.solved)),)
    bike, found = lengths.bike, []
    needed = round(needed_teeth(bike), 1)
    if rules is None and lengths.by_path is not None:
        found.append(words("chain.disagree.no_rules", needed=needed, capacity=bike.rear.capacity))
    if rules is not None and lengths.by_path is None:
        found.append(words("chain.disagree.no_path", rules=rules[0], path=f"{path.highest:.1f}"))
    if rules is not None and lengths.by_path is not None and rules[1] != lengths.by_path[1]:
        key = "rules_shorter" if rules[1] < lengths.by_path[1] else "rules_longer"
        both = {"rules": rules[1], "path": lengths.by_path[1], "cage": f"{bike.rear.cage_mm:g}"}
        found.append(words(f"chain.disagree.{key}", **both))
    rule_floor = shortest_by_rule(bike)
    if even_up(path.lowest) != rule_floor:
        key = "path_lower" if even_up(path.lowest) < rule_floor else "path_higher"
        found.append(words(f"chain.disagree.{key}", rules=rule_floor, path=f"{path.lowest:.1f}"))
    judged = lengths.best if present is None else present
    close = path.touching(judged)
    if close and lengths.window is not None:
        found.append(words("chain.disagree.close", links=judged, gears=named(close)))
    return tuple(found)
