"""What the walk answers: plain frozen records, so that a page, a shell and a sheet show the same thing."""

from dataclasses import dataclass
from datetime import date

from tunekit.targets import Mark

Value = float | str | tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """To be read before the action it belongs to; signal words of ANSI Z535.6."""

    signal: str
    """WARNING could kill or maim, CAUTION lesser injury, NOTICE damage to things only."""
    hazard: str
    consequence: str
    avoidance: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where the value should be on this bike; a bound that is None is open."""

    value: float | None
    low: float | None
    high: float | None
    unit: str
    why: str
    """How the number came about, in words with this bike's figures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asks:
    """The log entry that answers a step, and how to ask for it."""

    kind: str
    what: str
    moment: str | None
    ring: int | None
    cog: int | None
    form: str
    """"number", "yes_no", "word" (one of `answers`), "rim" (four readings), "done" (the act is the entry)."""
    answers: tuple[str, ...]
    seen: tuple[tuple[str, str], ...]
    """Of yes or no: the answer and what is seen then ("no", "Taut"), the good one first; () for the last checks."""
    label: str
    unit: str
    step: float
    """Smallest change of a number worth entering."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What to do about a value that is off, and the log's words for having done it."""

    says: str
    effect: str
    """What the bike does then, or ""."""
    kind: str | None = None
    """"turned" or "fitted"; None when there is nothing to write."""
    what: str | None = None
    amount: float | None = None
    """Signed by its effect, as in the log."""
    links: int | None = None
    until: Mark | None = None
    """The mark at which the turn ends; `amount` is about how far, the next turn and never the sum."""

    def fields(self) -> dict[str, object]:
        """The entry to write when it is done, as `make_entry` takes it; only when `kind` is given."""
        given = {"kind": self.kind, "what": self.what, "amount": self.amount, "links": self.links}
        return {name: value for name, value in given.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the log's value means."""

    name: str
    """"pass", "adjust" (correct it, then measure again) or "redo" (doubtful: measure or enter it again)."""
    says: str
    correction: Correction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Without:
    """What to do without the tool."""

    do: str
    unsure: str
    """What then stays unsure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Torque:
    """One bolt of the job, in N m."""

    bolt: str
    title: str
    low: float
    high: float
    """Usual published range; the figure on the part outranks it."""
    typed: float | None
    """The part's own figure, where the walk was told it."""
    ticked: bool
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Recheck:
    """One thing to come back for, from the day of the last entry."""

    name: str
    title: str
    km: tuple[float, float] | None
    days: tuple[float, float] | None
    dates: tuple[date, date] | None
    """Those days counted from the last entry; None in an empty log."""
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the walk, for this bike, as the log stands."""

    id: str
    part: str
    title: str
    command: str
    why: str
    how: str
    """How to measure or judge it."""
    direction: str
    """Which way the screw moves what, or ""."""
    move: Correction | None
    """The turn that the command asks for, where it is a number already known."""
    target: Target | None
    beside: str
    """Published range beside a torque that the part itself must name, or ""."""
    tools: tuple[str, ...]
    without: Without | None
    """The second best, where a tool is lacking."""
    needs: tuple[str, ...]
    """Steps of this walk that come before it."""
    waits_for: tuple[str, ...]
    """Those of `needs` that are still open."""
    asks: Asks
    picture: str
    caution: Caution | None
    caution_new: bool
    """False when an earlier step of the walk told of the same hazard: one line is enough then."""
    first: str | None
    """The look at the low stop that must come out good before a step toward the spokes; None once it was taken."""
    blocked: bool
    """True when chain or cage can take no gear that the step needs: it waits until that is put right."""
    first_what: str
    """The log's word of that look."""
    order_reason: str
    """Where published orders differ: why it stands here; else ""."""
    confirm: bool
    """True for the do-and-confirm list before handing over."""
    state: str
    """"done", "open", "not_sure" (left open for now) or "taken" (as done, without a look)."""
    block: str
    """The part of the walk that it belongs to."""
    minutes: float
    """Hand time, by the tables."""
    value: Value | None
    """The value that stands in the log, or None."""
    verdict: Verdict | None
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One part of a walk, as the log stands; its steps need not stand side by side."""

    name: str
    title: str
    steps: tuple[str, ...]
    done: int
    taken: int
    """Steps taken as done without a look."""
    minutes: float
    """Hand time of what is still open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """One thing that keeps the bike from being handed over."""

    kind: str
    """"fact" (what is known to be wrong), "fit" (a finding that fails), "step" (a verdict of adjust or redo) or
    "check" (a last check not answered yes)."""
    name: str
    """The fact's, finding's or step's own name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """The walk in the order of the bench."""

    name: str
    title: str
    steps: tuple[Step, ...]
    blocks: tuple[Block, ...]
    """Its parts in their order on the bench, those left out that this walk has not."""
    current: str | None
    """The step to do now: the first open one, then the first left open; None when all are done."""
    done: int
    total: int
    left_open: tuple[str, ...]
    """Steps answered "not sure" and not yet settled."""
    begun: bool
    """True when the log names this walk."""
    unfinished: tuple[Unfinished, ...]
    """What keeps the bike from being handed over, the gravest first."""

    @property
    def handed_over(self) -> bool:
        """Whether nothing known is wrong, no step wants correcting and every last check is answered yes."""
        return not self.unfinished

    @property
    def minutes(self) -> float:
        """Hand time of what is still open."""
        return sum(block.minutes for block in self.blocks)

    def step(self, id: str) -> Step | None:
        """The step of that name, or None."""
        return next((step for step in self.steps if step.id == id), None)

    def number(self, id: str) -> int:
        """The step's place, from 1, as in "4 of 11"."""
        return 1 + [step.id for step in self.steps].index(id)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietWindow:
    """The span of positions without a rub, counted from where the search began; + is inboard."""

    outboard: float
    inboard: float
    unit: str
    """"turns" or "steps"."""
    middle: float
    """Rounded to what the hand can set."""
    sure: float
    """The middle is right to within this, either way: half of one search step, since a rub is found at the
    first step past the edge on both sides."""
    mm_per_unit: float
    """What one turn or step moves the guide pulley."""

    @property
    def width(self) -> float:
        """From edge to edge."""
        return self.inboard - self.outboard
