"""Adding to the log of a session file, and dropping its last entry."""

import shlex
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from tunekit import Bike, Session, TunekitError, load_session
from tunekit.bike.errors import shown
from tunekit.cli.shell import Json, say, show, show_of
from tunekit.session.file import change_session
from tunekit.session.log import LogEntry, Measured, Turned, make_entry
from tunekit.session.vocabulary import WHAT_BY_KIND, Moment, Per, Side, Walk

log = typer.Typer(rich_markup_mode=None)

At = Annotated[
    str | None, typer.Option(metavar="TIME", help="When, as 2026-11-25T10:00:00Z; now if left out.")
]
Ring = Annotated[
    int | None, typer.Option(metavar="TEETH", help="Ring by its tooth count; everywhere if left out.")
]
Cog = Annotated[
    int | None, typer.Option(metavar="TEETH", help="Cog by its tooth count; everywhere if left out.")
]


def _what(kind: str) -> Any:
    return typer.Option(metavar="WORD", help=f"One of: {', '.join(WHAT_BY_KIND[kind])}.")


@log.callback()
def log_of(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The session file to add to.")],
) -> None:
    """Add to the log: heard, measured, turned and so on."""
    context.obj = file


Sure = Annotated[bool, typer.Option("--sure", help="Log a figure that was questioned as it is.")]


def _add(context: typer.Context, json: bool, kind: str, **fields: object) -> None:
    made = make_entry(kind, **fields)
    # Asked before the file is held, so that no other shell waits for somebody's answer.
    entry = _meant(context.obj, load_session(context.obj).bike, made)
    after = change_session(context.obj, lambda session: session.with_entry(entry))
    show_of(after, entry, lambda done: f"Logged: {_entry_text(done)}", json)


def _meant(file: Path, bike: Bike, entry: LogEntry) -> LogEntry:
    """The entry as the hand meant it: a doubtful figure is asked about, or refused where nobody can answer."""
    from tunekit.session.plausible import doubt

    asked = doubt(bike, entry)
    if asked is None:
        return entry
    if not sys.stdin.isatty():
        commands = " or ".join(_command(file, reading, reading is asked.typed) for reading in asked.readings)
        raise TunekitError(f"{asked.says} Nothing is logged; say it as: {commands}")
    say(asked.says)
    for number, reading in enumerate(asked.readings, 1):
        say(f"  {number}  {_entry_text(reading)}")
    answer = str(typer.prompt(f"Which, 1 to {len(asked.readings)}")).strip()
    if answer not in map(str, range(1, len(asked.readings) + 1)):
        raise TunekitError(f"nothing is logged (got {shown(answer)}); measure again and enter the figure.")
    reading = asked.readings[int(answer) - 1]
    return reading.model_copy(update={"sure": True}) if reading is asked.typed else reading


def _command(file: Path, entry: Measured | Turned, sure: bool) -> str:
    """The command that logs the entry, for a shell."""
    figure = entry.value if isinstance(entry, Measured) else entry.amount
    name = "value" if isinstance(entry, Measured) else "amount"
    figures = figure if isinstance(figure, tuple) else (figure,)
    words = ["tunekit", "log", str(file), entry.kind, "--what", entry.what]
    for place in ("ring", "cog"):
        if getattr(entry, place, None) is not None:
            words += [f"--{place}", str(getattr(entry, place))]
    words.append(f"--{name}={','.join(f'{each:.10g}' for each in figures)}")
    return shlex.join([*words, "--sure"] if sure else words)


def _entry_text(entry: LogEntry) -> str:
    from tunekit.show.words import entry_text

    return entry_text(entry)


@log.command()
def told(
    context: typer.Context, what: Annotated[str, _what("told")], at: At = None, json: Json = False
) -> None:
    """What the owner reports."""
    _add(context, json, "told", what=what, at=at)


@log.command()
def heard(
    context: typer.Context,
    moment: Annotated[Moment, typer.Option(help="When it was heard.")],
    what: Annotated[str, _what("heard")],
    ring: Ring = None,
    cog: Cog = None,
    side: Annotated[Side | None, typer.Option(help="Side toward which it went, if seen.")] = None,
    per: Annotated[Per | None, typer.Option(help="It comes once per turn of this.")] = None,
    at: At = None,
    json: Json = False,
) -> None:
    """What was heard or seen in a gear or a shift; `clean` is worth as much as a trouble."""
    _add(context, json, "heard", ring=ring, cog=cog, moment=moment, what=what, side=side, per=per, at=at)


@log.command()
def measured(
    context: typer.Context,
    what: Annotated[str, _what("measured")],
    value: Annotated[
        str,
        typer.Option(
            metavar="NUMBER", help="A number, yes, no, or the four of hanger_rim_mm as 61,60,58,60."
        ),
    ],
    ring: Ring = None,
    cog: Cog = None,
    sure: Sure = False,
    at: At = None,
    json: Json = False,
) -> None:
    """A gauge, a ruler or a hand test."""
    reading = _reading(value)
    _add(context, json, "measured", what=what, value=reading, ring=ring, cog=cog, sure=sure or None, at=at)


def _reading(text: str) -> float | tuple[float, ...]:
    """A number, yes or no, or several numbers with commas between."""
    yes_no = {"yes": 1.0, "no": 0.0}.get(text.strip().lower())
    if yes_no is not None:
        return yes_no
    try:
        numbers = tuple(float(part) for part in text.split(","))
    except ValueError:
        raise TunekitError(f"value must be a number, yes or no (got {text}); correct the reading.") from None
    return numbers[0] if len(numbers) == 1 else numbers


@log.command()
def turned(
    context: typer.Context,
    what: Annotated[str, _what("turned")],
    amount: Annotated[
        float | None,
        typer.Option(metavar="NUMBER", help="Turns, steps, mm or degrees; the sign is the effect."),
    ] = None,
    sure: Sure = False,
    at: At = None,
    json: Json = False,
) -> None:
    """A barrel, screw, step or bend; + is more tension, a stop that closes in, a wider gap, inboard."""
    _add(context, json, "turned", what=what, amount=amount, sure=sure or None, at=at)


@log.command()
def fitted(
    context: typer.Context,
    what: Annotated[str, _what("fitted")],
    ring: Ring = None,
    cog: Cog = None,
    links: Annotated[int | None, typer.Option(help="Links of the new chain, 12.7 mm each.")] = None,
    at: At = None,
    json: Json = False,
) -> None:
    """A part new, or put right."""
    _add(context, json, "fitted", what=what, ring=ring, cog=cog, links=links, at=at)


@log.command()
def noted(
    context: typer.Context,
    text: Annotated[str, typer.Option(metavar="TEXT", help="Free words.")],
    walk: Annotated[Walk | None, typer.Option(help="The set-up walk begun with this note.")] = None,
    step: Annotated[
        str | None, typer.Option(metavar="NAME", help="The step answered 'not sure' with this note.")
    ] = None,
    at: At = None,
    json: Json = False,
) -> None:
    """Free words of the mechanic."""
    _add(context, json, "noted", text=text, walk=walk, step=step, at=at)


@log.command()
def undo(context: typer.Context, json: Json = False) -> None:
    """Drop the last entry."""
    dropped: list[LogEntry] = []

    def drop(session: Session) -> Session:
        if not session.log:
            raise TunekitError("log is empty, so there is nothing to undo.")
        dropped[:] = [session.log[-1]]
        return session.undone()

    change_session(context.obj, drop)
    show(dropped[0], lambda entry: f"Dropped: {_entry_text(entry)}", json)
