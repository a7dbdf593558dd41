"""What the fit calls answer: plain frozen records, so that a page, a shell and a sheet show the same."""

from dataclasses import dataclass, field
from typing import Literal

Status = Literal["pass", "caution", "fail"]
Gear = tuple[int, int]
"""Ring and cog by tooth count."""


def worst_of(statuses: tuple[Status, ...]) -> Status:
    """fail outranks caution outranks pass."""
    for status in ("fail", "caution"):
        if status in statuses:
            return status
    return "pass"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One question asked of the bike, with its numbers."""

    name: str
    """total_capacity, largest_cog, least_largest_cog, smallest_cog, front_difference, least_difference,
    largest_ring, least_ring, lever_clicks, pull_per_click, pull_accumulated, chain_speeds, chain_path,
    chain_length, chainline or chain_angle."""
    status: Status
    value: float | None
    """What this bike has; None when it is not known yet (a chain not yet cut)."""
    limit: float | None
    """What it may have; None where the rule is not one number."""
    unit: str
    rule: str
    """The rule, with whose it is."""
    if_ignored: str
    """What happens when it is left so."""
    remedy: str | None
    """The nearest thing that would put it right; None when it passes."""
    gears: tuple[Gear, ...] = ()
    """The gears concerned, when not all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitReport:
    """Does it go together?"""

    findings: tuple[Finding, ...]
    status: Status
    """The worst of the findings."""

    def __getitem__(self, name: str) -> Finding:
        """The finding of that name; KeyError when it does not apply to this bike."""
        for finding in self.findings:
            if finding.name == name:
                return finding
        raise KeyError(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleLength:
    """One published rule's answer."""

    name: str
    """largest_pair, largest_pair_single_ring, simple, second_order, engineering, belt or circle_belt."""
    rule: str
    """The rule in words."""
    rounding: str
    """How its raw length was made even."""
    raw_links: float
    links: int
    source: str
    applies: bool
    """Whether this is the rule for a bike of this kind (one ring or more, suspension or not)."""
    safe: bool = True
    """False when its answer is too short for the largest pair of this bike."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainAdvice:
    """How long the chain has to be, in links of 12.7 mm."""

    links: int
    """What to cut a new chain to."""
    shortest: int | None
    """Ends of the window of lengths that work in every gear; both None when no length does."""
    longest: int | None
    basis: Literal["geometry", "rules"]
    """Whether the window was solved from the chain's path or comes from the rules alone."""
    rules: tuple[RuleLength, ...]
    rules_differ_links: int
    """Longest less shortest of the rules' even answers."""
    present: int | None
    """The chain that is on, if known; after a swap the old bike's chain."""
    present_assumed: bool
    """True when nobody counted it and the old bike's is taken to have been cut right."""
    keep: bool | None
    """May the present chain stay? None when there is none."""
    change_links: int | None
    """Links to add (+) or take out (-) so that the present chain works; 0 when it may stay."""
    too_short: tuple[Gear, ...]
    """Gears in which the present chain is too short."""
    too_long: tuple[Gear, ...]
    """Gears in which it hangs slack."""
    leave_alone: tuple[Gear, ...] = ()
    """Gears that hang slack even with `links`, when no length works in every gear."""
    shortest_rules: int | None = None
    """The same window by the rules alone."""
    longest_rules: int | None = None
    path_shortest_links: float | None = None
    """By the chain's path, before evening: fewer stretch a gear; None when it could not be solved."""
    path_longest_links: float | None = None
    """More touch themselves or hang in some gear."""
    path_best_links: int | None = None
    """The even length with the most in hand at its tighter end."""
    why: str = ""
    """The answer in one or two sentences."""
    notes: tuple[str, ...] = field(default=())
    """Where rules and geometry disagree, and why; cautions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAgain:
    """One thing to set again after a swap."""

    name: str
    """chain, lever, high_limit, low_limit, b_screw, rear_index, front_height or front_limits."""
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapReport:
    """Before and after of a cassette, ring or wheel change."""

    gained: tuple[Gear, ...]
    lost: tuple[Gear, ...]
    lowest_before: float
    """Smallest ratio, wheel turns per crank turn."""
    lowest_after: float
    highest_before: float
    highest_after: float
    capacity_before: float
    capacity_after: float
    """Teeth to take up."""
    capacity_limit: int
    chain: ChainAdvice
    fit: FitReport
    """Of the bike after the swap."""
    pulley_gap_change_mm: float
    """How much the gap on the largest cog changes if the B screw is left alone; + is wider (an estimate)."""
    index_shift_mm: tuple[float, ...]
    """By click from the smallest cog: how far the cog there has moved, + inboard."""
    set_again: tuple[SetAgain, ...]
    why: str
