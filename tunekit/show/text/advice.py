"""Advice as text: what is probably wrong, what to do now, why, and what else could be tried."""

from tunekit.bike import Bike
from tunekit.diagnosis.advice import Advice, Move, Offset
from tunekit.session import Session
from tunekit.show.text.columns import columns, paragraphs, signed, wrapped
from tunekit.show.words import entry_text, gear_and_moment, label, move_help, move_name, move_text


def cause_name(name: str) -> str:
    """The words for a cause."""
    return label("cause", name)


def _next_text(move: Move | None, bike: Bike, caution: str | None) -> str:
    if move is None:
        return "Nothing is worth doing now."
    lines = [wrapped(caution)] if caution else []
    lines.append(wrapped(move_text(move, bike), first="Next: "))
    lines += [wrapped(gear_and_moment(gear), first="  - ") for gear in move.gears]
    lines += [wrapped(text, "  ") for text in (move_help(move), f"Why: {move.why}") if text]
    lines.append(
        f"  About {move.minutes:.0f} minutes." + ("  A job for a workshop's tools." if move.workshop else "")
    )
    return "\n".join(lines)


def _offset_rows(offsets: tuple[Offset, ...]) -> list[tuple[str, ...]]:
    return [
        (
            str(offset.cog),
            offset.direction.replace("_", " "),
            signed(offset.mm, 2),
            f"{signed(offset.low_mm, 2)} to {signed(offset.high_mm, 2)}",
            signed(offset.after_mm, 2),
        )
        for offset in offsets
    ]


def advice_text(advice: Advice, session: Session) -> str:
    """Everything the advice says, most useful first."""
    bike, log = session.bike, session.log
    causes = [
        (f"{cause.probability:.0%}", cause_name(cause.name))
        for cause in advice.causes
        if cause.probability >= 0.02
    ]
    others = [
        wrapped(f"{move_name(move)} (about {move.minutes:.0f} minutes)", first="  - ")
        for move in advice.runners_up
    ]
    ties = [_tie_text(tie.first, tie.second, tie.check, bike) for tie in advice.ties]
    mattered = [
        wrapped(
            f"{entry_text(log[item.entry])}: odds of “{cause_name(item.cause)}” × {item.factor:.2g}",
            first="  - ",
        )
        for item in advice.evidence
    ]
    aside = [wrapped(f"{entry_text(log[item.entry])}: {item.why}", first="  - ") for item in advice.set_aside]
    doubt = (
        "" if advice.sure else "The possibilities could not be covered well enough to trust these figures."
    )
    offsets = columns(
        ("Cog", "After a shift", "Offset mm", "90 % band", "Then"),
        _offset_rows(advice.offsets),
        right=(0, 2, 3, 4),
    )
    return paragraphs(
        _next_text(advice.next, bike, advice.caution),
        columns(("Chance", "Cause"), causes, right=(0,)) if causes else "",
        wrapped(_state_text(advice)),
        wrapped(doubt),
        "\n".join(ties),
        _listed("Also possible", others),
        _listed("What mattered most", mattered),
        _listed("Set aside", aside),
        f"Pulley offset, + inboard; quiet within {advice.quiet_mm:.2f} mm\n{offsets}"
        if advice.offsets
        else "",
    )


def _listed(title: str, lines: list[str]) -> str:
    return "\n".join([title, *lines]) if lines else ""


def _state_text(advice: Advice) -> str:
    with_looks, without = advice.minutes_left, advice.minutes_left_without_look
    work = f"Expected work left: {with_looks:.0f} minutes, {without:.0f} without a look."
    return f"Probability that nothing is left to do: {advice.clear:.0%}. {work}"


def _tie_text(first: str, second: str, check: Move | None, bike: Bike) -> str:
    said = f"Cannot tell apart yet: {cause_name(first)} and {cause_name(second)}."
    return wrapped(f"{said} To separate them: {move_text(check, bike)}" if check else said)
