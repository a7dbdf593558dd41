"""Which lengths of chain work on a bike, and which to cut.

The window is solved from the chain's path, but never starts below the rules' shortest: a chain too short
breaks things. The length to cut is the rule's for a bike of this kind, held inside the window.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

from tunekit.bike import Bike, TunekitError
from tunekit.mechanics.side_view import Gear
from tunekit.targets.chain_path import PathWindow, even_down, even_up, path_window, slop_links
from tunekit.targets.chain_rules import (
    beyond_capacity,
    links_by_rule,
    rules_window,
    shortest_by_rule,
    too_long_by_rule,
    too_short_by_rule,
)

Span = tuple[int, int]
"""Shortest and longest even chain."""


@dataclass(frozen=True)
class ChainLengths:
    """Everything that is known about this bike's chain before one is judged."""

    bike: Bike

    @cached_property
    def solved(self) -> PathWindow | TunekitError:
        """The path's window, or the sentence that says why it cannot be solved."""
        return path_window(self.bike)

    @property
    def path(self) -> PathWindow | None:
        """The path's window, None when it cannot be solved."""
        return None if isinstance(self.solved, TunekitError) else self.solved

    @cached_property
    def by_rules(self) -> Span | None:
        """The window by the rules alone; None when the capacity is exceeded."""
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
        """Lengths that work in every gear; None when none does."""
        return self.by_rules if self.path is None else self.by_path

    @cached_property
    def best(self) -> int:
        """The rule's length for a bike of this kind, held inside the window."""
        if self.window is None:
            return self.floor
        return min(max(links_by_rule(self.bike), self.window[0]), self.window[1])

    @cached_property
    def leave_alone(self) -> tuple[Gear, ...]:
        """Gears to give up when no length works in every gear."""
        if self.window is not None:
            return ()
        return self.too_long(self.best) or beyond_capacity(self.bike)

    def too_short(self, links: int) -> tuple[Gear, ...]:
        """Gears in which a chain of `links` is too short, by rule or path."""
        by_rule = too_short_by_rule(self.bike, links)
        by_path = () if self.path is None else self.path.too_short(links)
        every = ((ring, cog) for ring in self.bike.rings for cog in self.bike.cogs)
        return tuple(gear for gear in every if gear in by_rule or gear in by_path)

    def too_long(self, links: int) -> tuple[Gear, ...]:
        """Gears in which a chain of `links` hangs."""
        return too_long_by_rule(self.bike, links) if self.path is None else self.path.too_long(links)


@lru_cache(maxsize=64)
def chain_lengths(bike: Bike) -> ChainLengths:
    """The lengths of chain that work on this bike; whatever chain is on makes no difference."""
    return ChainLengths(bike)
