"""The log's words, the causes and the moves as people say them; the sentences of the pages.

The wording itself is in data/words/vocabulary.toml and data/words/pages.toml.
"""

from collections.abc import Iterable, Sequence
from functools import partial

from tunekit.bike import Bike
from tunekit.data import amounts, phrase, table
from tunekit.data.amounts import number_text as number_text
from tunekit.diagnosis.advice import Advice, Evidence, FirstLook, Gear, Move
from tunekit.known import look_text
from tunekit.session import Fitted, Heard, LogEntry, Measured, Noted, Session, Told, Turned
from tunekit.session.vocabulary import YES_NO
from tunekit.targets import Mark

say = partial(phrase, "pages")
"""A sentence of the pages: say("start.title"), its gaps filled by name."""
LIKELIER, NEARLY = 0.5, 0.8
"""Chances that nothing is left from which it is said: after a good ride, and to one who hears a trouble."""


def label(kind: str, what: str) -> str:
    """The short name of a word: label("heard", "rattle"). Kinds are the log's, and "cause" and "moment"."""
    return str(table("words/vocabulary")[kind][what]["label"])


def cause_label(name: str) -> str:
    """A cause's short name."""
    return label("cause", name)


def help_text(kind: str, what: str) -> str:
    """One line more about a word, or ""."""
    return str(table("words/vocabulary")[kind][what].get("help", ""))


def unit(kind: str, what: str) -> str:
    """The unit of a measured or turned word, or ""."""
    return str(table("words/vocabulary")[kind][what].get("unit", ""))


def quantity_text(value: float, unit: str) -> str:
    """A number with its unit as it is written: "39 teeth", "0.15 mm", "3.3°"."""
    return f"{number_text(value, 1)}°" if unit == "deg" else f"{number_text(value)} {unit}"


def opened(text: str) -> str:
    """A clause with a capital, to stand on a line of its own."""
    return text[:1].upper() + text[1:]


def amount_text(what: str, amount: float) -> str:
    """How far, without its sign, as a hand counts it: "a quarter turn", "2 steps", "1.5 mm"."""
    return amounts.amount_text(amount, unit("turned", what))


def gear_text(ring: int | None, cog: int | None) -> str:
    """50 × 17, or which part of it is meant."""
    if ring is None and cog is None:
        return "every gear"
    if ring is None:
        return f"cog {cog}"
    return f"ring {ring}" if cog is None else f"{ring} × {cog}"


def sound_text(ring: int | None, cog: int | None, moment: str, what: str) -> str:
    """One heard word in its place: "50 × 17, shifting from a smaller cog: slow"."""
    return f"{gear_text(ring, cog)}, {say(f'moment.{moment}')}: {label('heard', what).lower()}"


def gear_and_moment(gear: Gear) -> str:
    """A gear to ride and how: "50 × 17, pedalling"."""
    return f"{gear_text(gear.ring, gear.cog)}, {say(f'moment.{gear.moment}')}"


def gears_by_moment(places: Iterable[Gear | Heard]) -> tuple[str, ...]:
    """Those of one ring and moment on one line: "50 × 13, 15, 17, shifting from a smaller cog"."""
    cogs: dict[tuple[int | None, str], list[int | None]] = {}
    for place in places:
        cogs.setdefault((place.ring, place.moment), []).append(place.cog)
    return tuple(
        f"{_gears_of(ring, some)}, {say(f'moment.{moment}')}" for (ring, moment), some in cogs.items()
    )


def _gears_of(ring: int | None, cogs: list[int | None]) -> str:
    first, *rest = sorted(dict.fromkeys(cogs), key=lambda cog: cog or 0)
    return ", ".join([gear_text(ring, first), *map(str, rest)])


def whole_minutes(minutes: float) -> int:
    """A step's minutes, at least one: nothing is done in none."""
    return max(round(minutes), 1)


def minutes_left_text(advice: Advice) -> str:
    """How much work is left, and what the looks save, where they save any."""
    left, without = (round(minutes) for minutes in (advice.minutes_left, advice.minutes_left_without_look))
    return say("advice.left" if without > left else "advice.left_only", minutes=left, without=without)


def nearly_clear_text(advice: Advice, move: Move, troubles: Sequence[Heard]) -> str | None:
    """Most likely nothing is left: after a good ride, or although something is heard; None where it is not so.

    Who hears a trouble is not calmed by an even chance, nor by a crossed gear where it does not sound like one.
    """
    first = next((cause.name for cause in advice.causes if cause.name != "nothing"), "")
    harmless = bool(table("causes").get(first, {}).get("harmless"))
    if advice.clear < (NEARLY if troubles and not harmless else LIKELIER):
        return None
    said = "nearly_clear" if not troubles and move.kind == "heard" else "mostly_clear"
    return say(f"advice.{'harmless' if troubles and harmless else said}", chance=chance_text(advice.clear))


def chance_text(probability: float) -> str:
    """A chance in per cent, never 0 or 100 where it is not certain."""
    if probability < 0.01:
        return say("causes.under")
    return say("causes.over") if probability > 0.99 else f"{100 * probability:.0f} %"


def evidence_text(item: Evidence, text: str) -> str:
    """What one entry, said as `text`, did to the odds of a cause, in times likelier or less likely."""
    key, factor = ("for", item.factor) if item.factor >= 1 else ("against", 1 / max(item.factor, 1e-9))
    times = say("advice.over_hundred") if factor > 100 else number_text(factor, 1 if factor < 10 else 0)
    return say(f"advice.evidence_{key}", text=text, factor=times, cause=cause_label(item.cause))


def _teeth_of(move: Move, bike: Bike) -> dict[str, object]:
    """The cog and ring a sentence may name; the largest where the move leaves it open."""
    return {"cog": move.cog or bike.cogs[-1], "ring": move.ring or bike.rings[-1]}


def move_text(move: Move, bike: Bike) -> str:
    """One command of at most 20 words: amount, direction, where to look from; a look is a question."""
    if move.kind == "heard":
        return say("move.ride_some") if move.gears else say("move.ride")
    word = table("words/vocabulary")[move.kind][move.what]
    if move.kind == "turned":
        amount = move.amount or 0.0
        pattern = word["minus" if amount < 0 else "plus"]
        return str(pattern).format(amount=amount_text(move.what, amount))
    if move.kind == "measured":
        return look_text(move.what, bike, move.cog, move.ring)
    return str(word["do"]).format(**_teeth_of(move, bike))


def move_help(move: Move) -> str:
    """What the command does, and where parts differ; "" when there is nothing to add."""
    if move.kind == "heard":
        return ""
    word = table("words/vocabulary")[move.kind][move.what]
    if move.kind == "turned":
        return str(word["help_minus" if (move.amount or 0.0) < 0 else "help_plus"])
    return str(word.get("help", ""))


def first_text(look: FirstLook) -> str:
    """The look that comes before a step, and on which cog."""
    return look.how


def until_text(mark: Mark) -> str:
    """Where a turn ends: "About so much, until the guide pulley stands 0.4 mm inboard ...; look from behind"."""
    key = mark.watch if mark.value is not None or mark.watch == "hanger_rim_mm" else "quiet"
    value = "" if mark.value is None else number_text(mark.value)
    return say(
        "until.about",
        mark=say(f"until.{key}", value=value, cog=mark.cog or ""),
        view=say(f"until.view_{mark.view}"),
    )


def move_name(move: Move) -> str:
    """A move in few words, for a list: "Rear barrel adjuster, a quarter turn out"."""
    if move.kind == "heard":
        return say("move.ride_short")
    name = label(move.kind, move.what)
    if move.kind == "turned" and move.amount is not None:
        return f"{name}: {_signed_text(move.what, move.amount)}"
    return f"{name} ({gear_text(None, move.cog)})" if move.cog else name


def _signed_text(what: str, amount: float) -> str:
    way = say(f"way.{what}.{'minus' if amount < 0 else 'plus'}")
    return f"{amount_text(what, amount)} {way}".strip()


def _measured_text(entry: Measured) -> str:
    name = label("measured", entry.what)
    place = f" ({gear_text(entry.ring, entry.cog)})" if entry.cog or entry.ring else ""
    if isinstance(entry.value, tuple):
        return f"{name}: {', '.join(number_text(value) for value in entry.value)} mm"
    if entry.what in YES_NO:
        return f"{name}{place}: {say('answer.yes') if entry.value else say('answer.no')}"
    return f"{name}{place}: {number_text(entry.value)} {unit('measured', entry.what)}"


def _fitted_text(entry: Fitted) -> str:
    place = f" ({gear_text(entry.ring, entry.cog)})" if entry.cog or entry.ring else ""
    links = f", {entry.links} links" if entry.links else ""
    return f"{label('fitted', entry.what)}{place}{links}"


def _heard_text(entry: Heard) -> str:
    extra = [entry.side and label("side", entry.side), entry.per and label("per", entry.per)]
    more = "".join(f", {text}" for text in extra if text)
    return sound_text(entry.ring, entry.cog, entry.moment, entry.what) + more


def entry_text(entry: LogEntry) -> str:
    """One log entry as one line, without its kind and time."""
    match entry:
        case Told():
            return label("told", entry.what)
        case Heard():
            return _heard_text(entry)
        case Measured():
            return _measured_text(entry)
        case Turned(what=what, amount=float(amount)):
            return f"{label('turned', what)}: {_signed_text(what, amount)}"
        case Turned():
            return label("turned", entry.what)
        case Fitted():
            return _fitted_text(entry)
        case Noted():
            return entry.text
    raise TypeError(entry)


def session_line(session: Session) -> str:
    """The session in one line: title, teeth, how many entries."""
    bike, count = session.bike, len(session.log)
    rings = "/".join(map(str, bike.rings))
    entries = say("desk.one_entry") if count == 1 else say("desk.entries", count=count)
    title = session.title or say("desk.untitled")
    return f"{title} · {rings} × {bike.cogs[0]} to {bike.cogs[-1]} · {entries}"
