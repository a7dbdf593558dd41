"""The order of pulling, what to write on the ends, what to test before the frame is closed, what to
beware of."""

from tunekit.data import phrase, table
from tunekit.data.hazards import sentence, signal
from tunekit.runs.plan import RunPlan
from tunekit.runs.records import CablePiece, CableRun, Caution, Junction, PullStep, Tag, Wire
from tunekit.runs.routes import slack_mm
from tunekit.runs.wires import guides, hidden_mm, steps_of


def _say(key: str, **values: object) -> str:
    return phrase("runs", key, **values)


def _step(key: str, **values: object) -> PullStep:
    return PullStep(label=None, command=_say(f"pull.{key}", **values), notes=())


def _turns_in_bracket(plan: RunPlan, wire: Wire) -> bool:
    """A wire that nothing guides cannot find its way through the bottom bracket shell."""
    shell = [name for name in wire.route if plan.point(name).opening == "bottom_bracket"]
    return bool(shell) and not guides(plan, wire.route)


def bracket_out(plan: RunPlan, wires: tuple[Wire, ...], junctions: tuple[Junction, ...]) -> bool:
    """The bottom bracket must come out: a junction sits in its shell, or a wire passes it unguided."""
    sits = any(plan.point(junction.at).opening == "bottom_bracket" for junction in junctions)
    return sits or any(_turns_in_bracket(plan, wire) for wire in wires)


def _guide_note(plan: RunPlan, wire: Wire, led: dict[str, str], later: tuple[Wire, ...]) -> str:
    """What leads the wire through; `led` remembers which wire each old inner wire has drawn in."""
    old = guides(plan, wire.route)
    fresh = next((cable for cable in old if cable not in led), None)
    if fresh is not None:
        led[fresh] = wire.label
        wanted = next((other for other in later if fresh in guides(plan, other.route)), None)
        if wanted is None:
            return _say("pull.note.guide", cable=fresh)
        return _thread_note(plan, wire, wanted, fresh)
    if old:
        return _say("pull.note.thread", label=led[old[0]])
    ends = [point for name in wire.route[::-1] if (point := plan.point(name)).opening in ("hole", "panel")]
    if ends:
        return _say("pull.note.magnet", place=ends[0].called)
    return _say("pull.note.hook", place=plan.called(wire.route[-1]))


def _hidden(plan: RunPlan, wire: Wire) -> set[frozenset[str]]:
    return {frozenset(section.between) for section in steps_of(plan, wire.route) if section.inside}


def _thread_note(plan: RunPlan, wire: Wire, later: Wire, cable: str) -> str:
    """Where the thread for the next wire is tied: beside this wire, or at the old wire's far end.

    A thread tied on with this wire lies only where this wire goes.
    """
    beyond = _hidden(plan, later) - _hidden(plan, wire)
    if not beyond:
        return _say("pull.note.guide_thread", cable=cable)
    away = {name for section in beyond for name in section}
    join = next((name for name in wire.route if name in away), wire.route[0])
    ways = (later.route, later.route[::-1])
    away_from_join = next((way for way in ways if way[0] == join), later.route)
    far = next(name for name in away_from_join[::-1] if name in away)
    other = wire.route[-1] if join == wire.route[0] else wire.route[0]
    return _say(
        "pull.note.guide_far",
        cable=cable,
        far=plan.called(far),
        join=plan.called(join),
        toward=plan.called(other),
        label=wire.label,
        next=later.label,
    )


def _care_notes(plan: RunPlan, wire: Wire) -> list[str]:
    """Where it can be pinched, and where it must stay loose."""
    notes = []
    for section in steps_of(plan, wire.route):
        one, other = (plan.called(name) for name in section.between)
        if section.slack_for and slack_mm(section):
            why = _say(f"slack_for.{section.slack_for}")
            notes.append(_say("pull.note.moves", mm=f"{slack_mm(section):g}", one=one, other=other, why=why))
        if section.pinch:
            notes.append(_say("pull.note.pinch", one=one, other=other))
    for device in plan.devices:
        if device.name in (wire.start, wire.end) and device.slack_for and slack_mm(device):
            why, place = _say(f"slack_for.{device.slack_for}"), plan.called(device.at)
            notes.append(_say("pull.note.moves_at", mm=f"{slack_mm(device):g}", place=place, why=why))
    return notes


def _wire_step(plan: RunPlan, wire: Wire, led: dict[str, str], later: tuple[Wire, ...]) -> PullStep:
    """Pull what is hidden, lay what is not; how it is led comes before what to look out for."""
    notes, hidden = _care_notes(plan, wire), hidden_mm(plan, wire.route) > 0
    if hidden and _turns_in_bracket(plan, wire):
        notes.insert(0, _say("pull.note.bracket"))
    if hidden:
        notes.insert(0, _guide_note(plan, wire, led, later))
    command = _say(
        f"pull.{'wire' if hidden else 'outside'}",
        label=wire.label,
        length=f"{wire.length_mm:g}",
        start=_end(plan, wire.start, wire.route[0]),
        end=_end(plan, wire.end, wire.route[-1]),
    )
    return PullStep(label=wire.label, command=command, notes=tuple(notes))


def _end(plan: RunPlan, name: str, at: str) -> str:
    """A junction's label says nothing about where it sits, so its place stands beside it."""
    return _say("pull.at", name=name, place=plan.called(at)) if name.startswith("junction ") else name


def _cable_steps(plan: RunPlan, run: CableRun) -> list[PullStep]:
    """Cut, keep the way open where the run is hidden (by the housing itself or a liner), thread."""
    housing = [piece for piece in run.pieces if piece.kind == "housing"]
    pieces = [_say("pull.cut_piece", label=piece.label, length=f"{piece.length_mm:.0f}") for piece in housing]
    hidden = any(hidden_mm(plan, piece.route) for piece in run.pieces)
    throughout = any(hidden_mm(plan, piece.route) for piece in housing)
    kept = ["housing_off", "housing_up", "wire_out"] if throughout else ["liner"]
    return [
        _step("cut", pieces=" and ".join(pieces)),
        *([_step(step, cable=run.name) for step in kept] if hidden else []),
        _step(
            "thread_housing" if throughout else "thread_cable" if hidden else "thread_open", cable=run.name
        ),
    ]


def pulling(
    plan: RunPlan, wires: tuple[Wire, ...], junctions: tuple[Junction, ...], cables: tuple[CableRun, ...]
) -> tuple[PullStep, ...]:
    """The steps in order; the wires come already numbered in theirs."""
    led: dict[str, str] = {}
    pulled = [_wire_step(plan, wire, led, wires[place + 1 :]) for place, wire in enumerate(wires)]
    out = bracket_out(plan, wires, junctions)
    idle = [cable.name for cable in plan.cables if cable.old and cable.name not in led]
    return (
        _step("before"),
        *([_step("unplug")] if wires else []),
        *([_step("keep_inner")] if led else []),
        *([_step("bracket_out")] if out else []),
        *pulled,
        *([_step("inner_out")] if idle and wires else []),
        *(step for run in cables for step in _cable_steps(plan, run)),
        *([_step("seat"), _step("stow")] if wires else []),
        *([_step("bed_in"), _step("take_up")] if cables else []),
        *([_step("connect")] if wires else []),
        _step("bracket_in" if out else "close"),
    )


def tags(wires: tuple[Wire, ...], cables: tuple[CableRun, ...]) -> tuple[Tag, ...]:
    """The same words on both ends, so that either end tells where the other is; bare wire needs none."""
    runs: list[Wire | CablePiece] = [*wires]
    runs += [piece for run in cables for piece in run.pieces if piece.kind == "housing"]
    return tuple(Tag(label=run.label, text=f"{run.label}: {run.start} – {run.end}") for run in runs)


def tests(plan: RunPlan, wires: tuple[Wire, ...], cables: tuple[CableRun, ...]) -> tuple[str, ...]:
    """What to test before the frame is closed, in order: what can be done with chain and cranks still off."""
    moving = {s.slack_for for s in plan.sections if s.slack_for}
    keys = [
        *(["clicks", "motors", "dead"] if wires else []),
        *(["pull"] if cables else []),
        "bars",
        *(["suspension"] if "suspension_moves" in moving else []),
        *(["battery"] if wires and any(d.slack_for == "battery_pulled_out" for d in plan.devices) else []),
        "pinch",
        "shake",
    ]
    return tuple(_say(f"test.{key}") for key in keys)


def tests_after(wires: tuple[Wire, ...], cables: tuple[CableRun, ...]) -> tuple[str, ...]:
    """What to test once cranks and chain are on again."""
    keys = [*(["shifts"] if wires else []), *(["cable"] if cables else []), "cranks"]
    return tuple(_say(f"test.{key}") for key in keys)


def cautions(wires: tuple[Wire, ...], cables: tuple[CableRun, ...]) -> tuple[Caution, ...]:
    """The usual cautions, gravest first."""
    needs = {"cable": bool(cables), "wire": bool(wires), "every": True}
    named = table("run_hazards")["named"]
    keys = [hazard for hazard, when in named.items() if needs[when]]
    return tuple(Caution(signal=signal(key), text=sentence(key)) for key in keys)
