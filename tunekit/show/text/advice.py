"""Advice as text: what is probably wrong, what to do now, why, and what else could be tried."""

from tunekit.bike import Bike
from tunekit.diagnosis.advice import Advice, Move, Offset
from tunekit.session import Session
from tunekit.show.text.columns import columns, paragraphs, percent, signed, wrapped
from tunekit.show.words import (
    entry_text,
    first_text,
    gear_and_moment,
    label,
    move_help,
    move_name,
    move_text,
    say,
    until_text,
    whole_minutes,
)


def cause_name(name: str) -> str:
    """The words for a cause."""
    return label("cause", name)


def _next_text(move: Move | None, bike: Bike, caution: str | None, end: str | None) -> str:
    if move is None:
        return say(f"advice.end_{end or 'right'}")
    lines = [wrapped(caution)] if caution else []
    if move.first:
        lines.append(wrapped(first_text(move.first), first="First: "))
    lines.append(wrapped(move_text(move, bike), first="Next: "))
    if move.until:
        lines.append(wrapped(until_text(move.until), "  "))
    lines += [wrapped(gear_and_moment(gear), first="  - ") for gear in move.gears]
    lines += [wrapped(text, "  ") for text in (move_help(move), f"Why: {move.why}") if text]
    lines.append(
        f"  About {_minutes(move.minutes)}." + ("  A job for a workshop's tools." if move.workshop else "")
    )
    return "\n".join(lines)


def _offsets_text(advice: Advice) -> str:
    """One line a cog: the offset and its band after a shift to it from either side."""
    if not advice.offsets:
        return ""
    by_place = {(offset.cog, offset.direction): offset for offset in advice.offsets}
    rows = [
        (
            cog,
            *(
                cell
                for way in ("to_larger_cog", "to_smaller_cog")
                for cell in _offset_cells(by_place.get((cog, way)))
            ),
        )
        for cog in dict.fromkeys(offset.cog for offset in advice.offsets)
    ]
    head = ("Cog", "To larger cog", "90 % band", "To smaller cog", "90 % band")
    title = f"Pulley offset in mm, + inboard; quiet within {advice.quiet_mm:.2f} mm"
    return f"{title}\n{columns(head, rows, right=range(5))}"


def _offset_cells(offset: Offset | None) -> tuple[str, str]:
    if offset is None:
        return "", ""
    return signed(offset.mm, 2), f"{signed(offset.low_mm, 2)} to {signed(offset.high_mm, 2)}"


def _minutes(minutes: float) -> str:
    whole = whole_minutes(minutes)
    return "a minute" if whole == 1 else f"{whole} minutes"


def advice_text(advice: Advice, session: Session) -> str:
    """Everything the advice says, most useful first."""
    bike, log = session.bike, session.log
    causes = [
        (percent(cause.probability), cause_name(cause.name))
        for cause in advice.causes
        if cause.probability >= 0.02
    ]
    others = [_other_text(move) for move in advice.runners_up]
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
    return paragraphs(
        _next_text(advice.next, bike, advice.caution, advice.end),
        columns(("Chance", "Cause"), causes, right=(0,)) if causes else "",
        wrapped(_state_text(advice)),
        wrapped(doubt),
        "\n".join(ties),
        _listed("Also possible", others),
        _listed("What mattered most", mattered),
        _listed("Set aside", aside),
        _offsets_text(advice),
    )


def _other_text(move: Move) -> str:
    """A further move in few words, its look and its warning with it."""
    lines = [wrapped(f"{move_name(move)} (about {_minutes(move.minutes)})", first="  - ")]
    if move.caution:
        lines.append(wrapped(move.caution, "    "))
    if move.first:
        lines.append(wrapped(say("advice.first", look=first_text(move.first)), "    "))
    return "\n".join(lines)


def _listed(title: str, lines: list[str]) -> str:
    return "\n".join([title, *lines]) if lines else ""


def _state_text(advice: Advice) -> str:
    with_looks, without = advice.minutes_left, advice.minutes_left_without_look
    work = f"Expected work left: {_minutes(with_looks)}, {_minutes(without)} without a look."
    return f"Probability that nothing is left to do: {percent(advice.clear)}. {work}"


def _tie_text(first: str, second: str, check: Move | None, bike: Bike) -> str:
    said = f"Cannot tell apart yet: {cause_name(first)} and {cause_name(second)}."
    return wrapped(f"{said} To separate them: {move_text(check, bike)}" if check else said)
