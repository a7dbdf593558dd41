"""Which value stands for a step, read from the log: the last one that nothing has upset since."""

from collections.abc import Iterable
from dataclasses import dataclass

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.session import Fitted, Heard, LogEntry, Measured, Noted, Told, Turned
from tunekit.setup.records import Value
from tunekit.setup.rows import Row, end_of, upset_by

INDEX_WORDS = ("rear_barrel", "rear_micro_adjust")
SLIP = 1e-9
UNLOOKED = frozenset(table("setup")["unlooked"]["safety"]) | set(table("setup")["blocks"]["ride"])
"""Steps that nobody takes as done without a look, whatever a file says."""
EDGES = ("quiet_edge_outboard", "quiet_edge_inboard")


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What the log says about one step."""

    value: Value | None = None
    twice: bool = False
    """True when the value was entered twice running or asked about, so that a questioned one stands."""
    not_sure: bool = False
    taken: bool = False
    """True when the step is taken as done without a look."""


def _named(row: Row, entry: Heard | Measured, bike: Bike) -> bool:
    """Whether the entry speaks of the row's cog and ring."""
    wanted = {"cog": end_of(bike.cogs, row.cog), "ring": end_of(bike.rings, row.ring)}
    if isinstance(entry, Heard):
        everywhere = row.cog is None and row.ring is None
        if everywhere:
            return entry.cog is None and entry.ring is None
        return all(getattr(entry, part) == teeth for part, teeth in wanted.items() if teeth is not None)
    return all(teeth is None or getattr(entry, part) in (None, teeth) for part, teeth in wanted.items())


def _value(row: Row, entry: LogEntry, bike: Bike) -> Value | None:
    """The value the entry gives this row, or None when it speaks of something else."""
    match entry:
        case Measured() if row.asks == f"measured.{entry.what}" and _named(row, entry, bike):
            return entry.value
        case Heard() if row.asks == f"heard.{entry.moment}" and _named(row, entry, bike):
            return entry.what
        case Fitted(what="chain", links=int(links)) if row.what == "chain_length_links":
            return float(links)
        case Fitted() if row.asks == f"fitted.{entry.what}":
            return 1.0
    return None


def _upsets(row: Row, entry: LogEntry) -> bool:
    """Whether the entry makes the row's earlier values stale."""
    if not isinstance(entry, Told | Fitted | Turned):
        return False
    event = f"{entry.kind}.{entry.what}"
    own = {f"turned.{what}" for what in (row.turn, *(what for what, _ in row.turns.values()))}
    return event in own or event == row.fix or row.id in upset_by().get(event, ())


def standing(row: Row, log: Iterable[LogEntry], bike: Bike) -> Standing:
    """The value that stands for this row at the end of the log."""
    found = Standing()
    for entry in log:
        if _upsets(row, entry):
            found = Standing()
        value = _value(row, entry, bike)
        if value is not None:
            found = Standing(value=value, twice=value == found.value or bool(getattr(entry, "sure", None)))
        elif isinstance(entry, Noted) and entry.step == row.id:
            taken = bool(entry.taken) and row.id not in UNLOOKED
            found = Standing(value=found.value, not_sure=not taken, taken=taken)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """The search for the quiet window as the log has it; a value is None until it is entered."""

    outboard: float | None = None
    inboard: float | None = None
    turned: tuple[float, ...] = ()
    """Where each turn after both edges left the adjuster, counted from the start."""
    last: float | None = None
    """The edge entered last, where the adjuster stands before it is turned to the middle."""

    def settled(self, middle: float | None, either_way: float) -> float | None:
        """The first place within reach of the middle, else the last place turned to.

        What diagnosis turns later does not undo the step: it knows more than the two edges.
        """
        near = (at for at in self.turned if middle is not None and abs(at - middle) <= either_way + SLIP)
        return next(near, self.turned[-1] if self.turned else None)


def search(row: Row, log: Iterable[LogEntry]) -> Search:
    """Replay the search; `row` is any of its steps (all three are upset by the same events).

    A turn after both edges moves to the middle; an edge entered after a turn begins a new search, since
    edges are counted from where the adjuster stood when the search began.
    """
    edges: dict[str, float] = {}
    turned: tuple[float, ...] = ()
    last: float | None = None
    for entry in log:
        if _upsets(row, entry):
            edges, turned = {}, ()
        if isinstance(entry, Turned) and entry.what in INDEX_WORDS and entry.amount is not None:
            turned = (*turned, (turned[-1] if turned else 0.0) + entry.amount)
        elif isinstance(entry, Measured) and entry.what in EDGES and isinstance(entry.value, float):
            if turned:
                edges, turned = {}, ()
            edges[entry.what] = last = entry.value
    return Search(
        outboard=edges.get(EDGES[0]),
        inboard=edges.get(EDGES[1]),
        turned=turned if len(edges) == len(EDGES) else (),
        last=last if edges else None,
    )
