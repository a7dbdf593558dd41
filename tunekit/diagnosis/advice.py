"""What `advise` answers: plain frozen records, so that a page, a shell and a sheet show the same thing."""

from dataclasses import dataclass

from tunekit.known import Fact
from tunekit.targets import Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A cause of the vocabulary, or "nothing" or "something_else", and the probability that it is present now."""

    name: str
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """A gear and moment to ride and report on; ring or cog None means any."""

    ring: int | None
    cog: int | None
    moment: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstLook:
    """A look that must come out good before the step it belongs to."""

    what: str
    """The log's word, of kind "measured"."""
    cog: int | None
    how: str
    """One sentence that says how it is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One thing to do. `kind` and `what` are the log's own words; `what` is "ride" for kind "heard"."""

    kind: str
    what: str
    amount: float | None = None
    ring: int | None = None
    cog: int | None = None
    minutes: float
    why: str
    gears: tuple[Gear, ...] = ()
    """For a ride: which gears, in an order that costs few minutes."""
    workshop: bool = False
    """True when the job wants a workshop's tools."""
    caution: str | None = None
    """A sentence to read before it is done, where it can hurt someone or something."""
    until: Mark | None = None
    """The mark at which a turn ends, where there is one; `amount` then says about how much."""
    first: FirstLook | None = None
    """The look that must precede it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """Estimated pulley offset on a cog after a shift in one direction; + is inboard of the cog."""

    cog: int
    direction: str
    """"to_larger_cog" or "to_smaller_cog"."""
    mm: float
    low_mm: float
    high_mm: float
    """The 90 % band."""
    after_mm: float
    """The same offset once `next` has been done (equal to `mm` when `next` moves nothing)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What one log entry did to the belief."""

    entry: int
    """Its place in the log, from 0."""
    cause: str
    """The cause it spoke for (or against) most."""
    factor: float
    """How many times it multiplied the odds of that cause."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """A log entry kept but not used, and the sentence that says why."""

    entry: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """Two causes the log cannot tell apart, and the look or ride that would."""

    first: str
    second: str
    check: Move | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """The belief and the choice, for one session."""

    causes: tuple[Cause, ...]
    """Most probable first; several may be present, so they need not add up to 1."""
    next: Move | None
    runners_up: tuple[Move, ...]
    offsets: tuple[Offset, ...]
    quiet_mm: float
    """Half width of this bike's quiet window, as estimated."""
    clear: float
    """Probability that nothing is left to do."""
    minutes_left: float
    """Expected minutes of work left when `next` is followed."""
    minutes_left_without_look: float
    """The same with hands-on moves only, no looks and no questions."""
    evidence: tuple[Evidence, ...]
    """The three entries that mattered most."""
    set_aside: tuple[SetAside, ...]
    ties: tuple[Tie, ...]
    caution: str | None
    """The caution of `next`."""
    known: tuple[Fact, ...] = ()
    """Facts that outrank odds, worst first; while one stands no ride is advised and nothing is called right."""
    barred: tuple[tuple[int, int], ...] = ()
    """Gears (ring, cog) that the chain or the cage cannot take."""
    end: str | None = None
    """Why `next` is None: "right" (nothing is left to do) or "ask" (it fits nothing that the tool knows)."""
    sure: bool
    """False when the search could not cover the possibilities well enough to trust the figures."""
