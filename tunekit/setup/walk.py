"""The walk: the steps of this bike in the order of the bench, each as the log leaves it."""

from collections.abc import Iterable
from dataclasses import replace
from functools import partial

from tunekit.bike import Bike, SessionError
from tunekit.bike.errors import one_of
from tunekit.data import phrase, table
from tunekit.fit import check_fit
from tunekit.known import barred, known, look_text, low_stop_holds
from tunekit.session import Noted, Session
from tunekit.setup.asks import asks_of, without_of
from tunekit.setup.barred import Barred, barred_for
from tunekit.setup.blocks import block_of, blocks_of, minutes_of
from tunekit.setup.records import (
    Caution,
    Correction,
    QuietWindow,
    Step,
    Target,
    Unfinished,
    Value,
    Walk,
)
from tunekit.setup.replay import Search, Standing, search, standing
from tunekit.setup.rows import Row, rows_for, walks_for
from tunekit.setup.rows import rows as all_rows
from tunekit.setup.screws import settable, turn
from tunekit.setup.targets import SUPPLIED, bike_words, target_for, target_text
from tunekit.setup.verdicts import verdict_for
from tunekit.setup.window import quiet_window

say = partial(phrase, "setup")


def default_walk(session: Session) -> str:
    """The walk last begun in the log, else the one its reports and parts ask for, else the rear one."""
    possible = walks_for(session.bike)
    begins = {event: walk for walk, event in table("setup")["begins"].items() if walk in possible}
    chosen = possible[0]
    for entry in session.log:
        if isinstance(entry, Noted):
            chosen = entry.walk if entry.walk in possible else chosen
        else:
            chosen = begins.get(f"{entry.kind}.{getattr(entry, 'what', '')}", chosen)
    return chosen


def _moved_by_motor(row: Row, bike: Bike) -> bool:
    """Whether what the step is about is moved by a motor."""
    front = row.id.startswith(("front_", "last_front"))
    return (bike.front.actuation if front and bike.front else bike.rear.actuation) == "electronic"


def _caution(row: Row, bike: Bike) -> Caution | None:
    hazard = (row.caution_motor if _moved_by_motor(row, bike) else None) or row.caution
    return None if hazard is None else Caution(**table("words/hazards")[hazard])


def _beside(row: Row) -> str:
    if row.torque is None:
        return ""
    low, high = row.torque
    return say("verdicts.torque_beside", low=f"{low:g}", high=f"{high:g}")


def _move(row: Row, found: Search | None, window: QuietWindow | None, bike: Bike) -> Correction | None:
    """From where the last edge left the adjuster to the middle of the window, once that is known."""
    if row.target_from != "quiet_middle" or window is None or found is None or found.last is None:
        return None
    return turn(row.what, settable(row.what, window.middle - found.last), bike)


def _command(
    row: Row, words: dict[str, str], gaps: dict[str, object], move: Correction | None, barred: Barred
) -> str:
    if barred.blocked:
        return barred.blocked
    if gaps.get("present"):
        return words["stays"].format(**gaps)
    if row.target_from != "quiet_middle":
        return words["command"].format(**gaps)
    return words["waiting"] if move is None else move.says


def _at(row: Row, session: Session, found: Search | None, target: Target | None) -> Standing:
    """What the log says; the search for the quiet window is replayed as a whole."""
    at = standing(row, session.log, session.bike)
    if found is None:
        return at
    value: Value | None
    match row.target_from:
        case "edge_outboard":
            value = found.outboard
        case "edge_inboard":
            value = found.inboard
        case _:
            value = found.settled(target.value, row.step / 2) if target else None
    return replace(at, value=value)


def _words(row: Row, bike: Bike) -> dict[str, str]:
    """The step's sentences on this bike: a motor has some of its own, since it is never pushed."""
    found: dict[str, str] = table("words/setup")["steps"][row.id]
    own = {key.removesuffix("_motor"): said for key, said in found.items() if key.endswith("_motor")}
    return {**found, **own} if _moved_by_motor(row, bike) else found


def _first(row: Row, session: Session) -> str | None:
    """The look before a step toward the spokes, unless the low stop was seen to hold."""
    if not row.toward_spokes or low_stop_holds(session):
        return None
    if row.look == "checked_low_stop":
        return look_text(row.look, session.bike)
    seen = standing(all_rows()["gap_clears_motor"], session.log, session.bike).value
    return None if seen else say(f"first.{row.look}", **bike_words(session.bike))


def _may_stay(session: Session, target: Target | None) -> int | None:
    """The links of the chain that is on, when they lie within the target and need no cutting."""
    links = session.bike_now.chain.links
    if links is None or target is None or target.low is None or target.high is None:
        return None
    return links if target.low <= links <= target.high else None


def _state(done: bool, at: Standing) -> str:
    return "done" if done else "taken" if at.taken else "not_sure" if at.not_sure else "open"


def _step(row: Row, session: Session, needs: tuple[str, ...], window: QuietWindow | None) -> Step:
    """One step, its target, its value and its verdict."""
    bike = session.bike
    target = target_for(row, bike, window)
    found = search(row, session.log) if row.target_from in SUPPLIED else None
    at = _at(row, session, found, target)
    verdict = verdict_for(row, at, target, found, window, bike)
    done = verdict is not None and verdict.name == "pass"
    words = _words(row, bike)
    move = _move(row, found, window, bike)
    shut = barred_for(row, bike, barred(session))
    gaps = {"target": target_text(target), "low": "", "leave_out": shut.leave_out} | bike_words(bike)
    if row.target_from == "leaflet_turns" and target is not None and target.value is None:
        gaps["target"] = say("targets.leaflet_gap")
    if target is not None and target.low is not None:
        gaps["low"] = f"{target.low:g}"
    if row.target_from == "chain_links":
        gaps["present"] = _may_stay(session, target)
    return Step(
        id=row.id,
        part=row.part,
        title=words["title"].format(**gaps),
        command=_command(row, words, gaps, move, shut),
        why=words["why"].format(**gaps),
        how=words["how"].format(**gaps) + shut.other_ring,
        direction=words.get("direction", "").format(**gaps),
        move=move,
        target=target,
        beside=_beside(row),
        tools=row.tools,
        without=without_of(row),
        needs=needs,
        waits_for=(),
        asks=asks_of(row, bike, words["label"]),
        picture=row.picture,
        caution=_caution(row, bike),
        caution_new=True,
        first=_first(row, session),
        first_what=row.look,
        order_reason=words.get("order", "").format(**gaps),
        confirm=row.confirm,
        blocked=bool(shut.blocked),
        state=_state(done, at),
        block=block_of(row.id),
        minutes=minutes_of(row),
        value=at.value,
        verdict=verdict,
        source=row.source,
        status=row.status,
    )


def _window(rows: Iterable[Row], session: Session) -> QuietWindow | None:
    """The quiet window of this walk, if it has the step and both edges are in the log."""
    middle = next((row for row in rows if row.target_from == "quiet_middle"), None)
    return None if middle is None else quiet_window(middle, search(middle, session.log), session.bike)


def _waiting(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The same steps, each with those of its needs that are not done."""
    settled = {id for id, row in all_rows().items() if row.optional}
    done = {
        step.id
        for step in steps
        if step.state in ("done", "taken") or (step.id in settled and step.state == "not_sure")
    }
    return tuple(
        replace(step, waits_for=tuple(need for need in step.needs if need not in done)) for step in steps
    )


def _told_once(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The same steps; a hazard is new where the walk first tells of it."""
    told: set[Caution] = set()
    found = []
    for step in steps:
        found.append(replace(step, caution_new=step.caution not in told))
        if step.caution:
            told.add(step.caution)
    return tuple(found)


def _unfinished(session: Session, steps: tuple[Step, ...]) -> tuple[Unfinished, ...]:
    """What keeps the bike from being handed over: facts, a failing fit, steps to correct, checks not answered yes."""
    facts = known(session)
    told = {fact.name for fact in facts}
    failed = [f.name for f in check_fit(session.bike_now).findings if f.status == "fail"]
    found = [Unfinished(kind="fact", name=fact.name) for fact in facts]
    found += [Unfinished(kind="fit", name=name) for name in failed if f"fit_{name}" not in told]
    for step in steps:
        wrong = step.verdict is not None and step.verdict.name != "pass"
        if step.confirm and (step.state != "done" or step.value == 0):
            found.append(Unfinished(kind="check", name=step.id))
        elif wrong:
            found.append(Unfinished(kind="step", name=step.id))
    return tuple(found)


def setup_steps(session: Session, walk: str | None = None) -> Walk:
    """The walk for this session: every step with this bike's target and what the log already says.

    `walk` is one of `walks_for(session.bike)`; without it the log chooses. Raises SessionError when the walk
    does not fit the bike.
    """
    name = default_walk(session) if walk is None else walk
    possible = walks_for(session.bike)
    if name not in possible:
        raise SessionError(say("walk_errors.unknown", choices=one_of(possible), walk=name))
    rows = rows_for(name, session.bike)
    window = _window(rows, session)
    ids = {row.id for row in rows}
    each = tuple(_step(row, session, tuple(n for n in row.needs if n in ids), window) for row in rows)
    steps = _told_once(_waiting(each))
    still = [step.id for step in steps if step.state == "open"]
    left = tuple(step.id for step in steps if step.state == "not_sure")
    return Walk(
        name=name,
        title=say(f"walks.{name}"),
        steps=steps,
        blocks=blocks_of(steps),
        current=next(iter((*still, *left)), None),
        done=sum(step.state == "done" for step in steps),
        total=len(steps),
        left_open=left,
        begun=any(isinstance(entry, Noted) and entry.walk == name for entry in session.log),
        unfinished=_unfinished(session, steps),
    )


def step_for(session: Session, what: str) -> tuple[str, str] | None:
    """Walk and step in which `what` ("low_limit", "pulley_gap_mm", "connectors") is set or measured, or None.

    The session's own walk comes first, then the others that fit the bike.
    """
    own = default_walk(session)
    walks = (own, *(walk for walk in walks_for(session.bike) if walk != own))
    found = ((walk, row) for walk in walks for row in rows_for(walk, session.bike))
    places = [(walk, row) for walk, row in found if not row.confirm]
    # Where a screw is looked at by eye and set by a figure, the figure's step is the place to go.
    places.sort(key=lambda place: (walks.index(place[0]), place[1].form == "yes_no"))
    for serves in (
        lambda row: what in (row.turn, row.what),
        lambda row: row.fix is not None and row.fix.endswith(f".{what}"),
        lambda row: what in [turned for turned, _ in row.turns.values()],
    ):
        for walk, row in places:
            if serves(row):
                return walk, row.id
    return None
