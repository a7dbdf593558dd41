"""The command line: a command reads its input, makes one call and prints the answer.

Exit 0 on success; 2 with one plain line on standard error when the input cannot be used. Whatever is slow to
import is imported inside the commands, so that `tunekit --help` answers at once.
"""

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from tunekit import Bike, Session, TunekitError, __version__, load_session, save_session
from tunekit.bike.starters import starter as starter_bike
from tunekit.bike.starters import starter_names
from tunekit.session.log import LogEntry, make_entry
from tunekit.session.vocabulary import WHAT_BY_KIND, Moment, Per, Side, Walk

Result = TypeVar("Result")

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
log = typer.Typer(rich_markup_mode=None)
app.add_typer(log, name="log")

File = Annotated[Path, typer.Argument(metavar="FILE", help="The session file.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON whose keys are the result's attribute names.")]
Seed = Annotated[int, typer.Option(min=0, help="Seed; the same file and seed give the same answer.")]


# --- what every command shares ----------------------------------------------------------------------------


def _print(text: str) -> None:
    """Print and flush; a reader that went away (`| head`) is no error."""
    try:
        print(text, flush=True)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(0) from None


def _show(result: Result, as_text: Callable[[Result], str], json: bool) -> None:
    from tunekit.show.as_json import json_text

    _print(json_text(result) if json else as_text(result))


def _teeth(text: str | None, option: str) -> tuple[int, ...] | None:
    """11,13,15 as numbers; the bike itself checks their order."""
    try:
        return None if text is None else tuple(int(part) for part in text.replace(",", " ").split())
    except ValueError:
        raise TunekitError(
            f"{option} must be tooth counts like 11,13,15 (got {text}); correct the list."
        ) from None


def _title(text: str) -> str:
    if len(text) > 200:
        raise TunekitError(f"--title takes at most 200 characters (got {len(text)}); shorten it.")
    return text


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code; an input that cannot be used is one line on standard error."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        command = typer.main.get_command(app)
        return command.main(arguments, prog_name="tunekit", standalone_mode=False) or 0
    except TunekitError as error:
        return _complain(str(error))
    except typer.TyperException as error:
        return _complain(f"{error.format_message()} (tunekit --help lists what is possible)")


def _complain(message: str) -> int:
    print(f"tunekit: {' '.join(message.split())}", file=sys.stderr)
    return 2


@app.callback(invoke_without_command=True)
def root(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Show the version and exit.")] = False,
) -> None:
    """A bench tool for bicycle mechanics: fit, chain, wires, set-up and the next turn, worked out for one bike.

    A session file holds a bike and a log of what happened at the stand; begin with `tunekit new`.
    """
    if version:
        _print(__version__)
    elif context.invoked_subcommand is None:
        _print(context.get_help())


# --- the app and a new session ----------------------------------------------------------------------------


@app.command("app")
def open_app(
    port: Annotated[
        int | None, typer.Option(min=1, max=65535, help="Port to listen on; free choice if left out.")
    ] = None,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Do not open a browser (for a server).")
    ] = False,
) -> None:
    """Open the app in the browser; it listens on this machine only."""
    pages = Path(__file__).parent / "pages"
    # Streamlit reads the .streamlit beside the script: in the wheel beside entry.py, in a checkout beside app.py.
    entry = pages / "entry.py" if (pages / ".streamlit").is_dir() else pages.parents[1] / "app.py"
    options = ["--server.address=127.0.0.1", f"--server.headless={'true' if no_browser else 'false'}"]
    if port is not None:
        options.append(f"--server.port={port}")
    command = [sys.executable, "-m", "streamlit", "run", str(entry), *options]
    if os.name == "posix":
        os.execv(sys.executable, command)
    import subprocess

    raise typer.Exit(subprocess.run(command, check=False).returncode)


@app.command()
def starters(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="Show every figure of this one.")
    ] = None,
    json: Json = False,
) -> None:
    """List the starter bikes by class.

    Their figures are typical for the class; the part's own leaflet outranks them.
    """
    from tunekit.show.text.starters import starter_sheet, starters_text

    names = starter_names() if name is None else (name,)
    _show([starter_sheet(name) for name in names], starters_text, json)


@app.command()
def new(
    starter: Annotated[
        str, typer.Option(metavar="NAME", help="Name of a starter bike (see `tunekit starters`).")
    ],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="File to write; printed if left out.")
    ] = None,
    title: Annotated[str, typer.Option(metavar="TEXT", help="What to call the bike or the job.")] = "",
    force: Annotated[bool, typer.Option("--force", help="Replace the file if it exists.")] = False,
    json: Json = False,
) -> None:
    """Begin a session from a starter bike."""
    from tunekit.session.file import session_to_text

    session = Session(title=_title(title), bike=starter_bike(starter))
    if out is None:
        return _print(session_to_text(session).rstrip())
    if out.exists() and out.stat().st_size and not force:
        raise TunekitError(f"{out} exists already; choose another name, or add --force to replace it.")
    save_session(session, out)
    _show(session, lambda _: f"{out}: a new session from the starter bike {starter}", json)


# --- what is bolted on ------------------------------------------------------------------------------------


@app.command()
def fit(file: File, json: Json = False) -> None:
    """Does it go together?

    Capacity, largest cog, cable pull, chain, chainline: each with its numbers, its rule and the nearest remedy.
    """
    from tunekit.fit import check_fit
    from tunekit.show.text.fit import fit_text

    _show(check_fit(load_session(file).bike), fit_text, json)


@app.command()
def chain(
    file: File,
    cogs: Annotated[
        str | None, typer.Option(metavar="TEETH", help="The new cassette, as 11,13,15: may the chain stay?")
    ] = None,
    rings: Annotated[
        str | None, typer.Option(metavar="TEETH", help="The new rings, as 34,50: may the chain stay?")
    ] = None,
    json: Json = False,
) -> None:
    """How long must the chain be, and may the present one stay?

    Every published rule's answer, the lengths that work in every gear, and what a new cassette or new rings change.
    """
    from tunekit.fit import size_chain, swap
    from tunekit.show.text.fit import chain_text, swap_text

    bike = load_session(file).bike
    changed = {"cogs": _teeth(cogs, "--cogs"), "rings": _teeth(rings, "--rings")}
    teeth = {name: new for name, new in changed.items() if new is not None}
    if teeth:
        _show(swap(bike, Bike.build(**{**dict(bike), **teeth})), swap_text, json)
    else:
        _show(size_chain(bike), chain_text, json)


@app.command()
def gears(
    file: File,
    cadence: Annotated[float, typer.Option(help="Crank turns a minute, for the speeds.")] = 90.0,
    json: Json = False,
) -> None:
    """Ratio, inches, development and speed of every gear."""
    from tunekit.mechanics.gears import gear_table
    from tunekit.show.text.gears import gears_text

    bike = load_session(file).bike
    rolled, crank = bike.wheel.circumference_mm, bike.crank.length_mm
    _show(gear_table(bike.rings, bike.cogs, rolled, crank, cadence), gears_text, json)


@app.command()
def line(file: File, json: Json = False) -> None:
    """Chainline, and the chain's angle in every gear."""
    from tunekit.fit import chainlines
    from tunekit.show.text.gears import line_text

    _show(chainlines(load_session(file).bike), line_text, json)


# --- the log ----------------------------------------------------------------------------------------------

At = Annotated[
    str | None, typer.Option(metavar="TIME", help="When, as 2026-11-25T10:00:00Z; now if left out.")
]
Ring = Annotated[
    int | None, typer.Option(metavar="TEETH", help="Ring by its tooth count; everywhere if left out.")
]
Cog = Annotated[
    int | None, typer.Option(metavar="TEETH", help="Cog by its tooth count; everywhere if left out.")
]


def _what(kind: str) -> typer.models.OptionInfo:
    return typer.Option(metavar="WORD", help=f"One of: {', '.join(WHAT_BY_KIND[kind])}.")


@log.callback()
def log_of(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The session file to add to.")],
) -> None:
    """Add to the log: heard, measured, turned and so on."""
    context.obj = file


def _add(context: typer.Context, json: bool, kind: str, **fields: object) -> None:
    session = load_session(context.obj)
    entry = make_entry(kind, **fields)
    save_session(session.with_entry(entry), context.obj)
    _show(entry, lambda done: f"Logged: {_entry_text(done)}", json)


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
    at: At = None,
    json: Json = False,
) -> None:
    """A gauge, a ruler or a hand test."""
    _add(context, json, "measured", what=what, value=_reading(value), ring=ring, cog=cog, at=at)


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
    at: At = None,
    json: Json = False,
) -> None:
    """A barrel, screw, step or bend; + is more tension, a stop that closes in, a wider gap, inboard."""
    _add(context, json, "turned", what=what, amount=amount, at=at)


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
    session = load_session(context.obj)
    if not session.log:
        raise TunekitError("log is empty, so there is nothing to undo.")
    save_session(session.undone(), context.obj)
    _show(session.log[-1], lambda dropped: f"Dropped: {_entry_text(dropped)}", json)


# --- what to do -------------------------------------------------------------------------------------------


@app.command()
def runs(
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="The run plan, TOML or JSON.")],
    json: Json = False,
) -> None:
    """Wires and cables through a frame.

    The parts list, every length, the order of pulling and what to test before the frame is closed.
    """
    from tunekit.runs import load_plan, plan_runs
    from tunekit.show.text.runs import runs_text

    _show(plan_runs(load_plan(plan)), runs_text, json)


@app.command()
def steps(file: File, json: Json = False) -> None:
    """The set-up walk: this bike's targets, what is done."""
    from tunekit.setup import setup_steps
    from tunekit.show.text.steps import steps_text

    _show(setup_steps(load_session(file)), steps_text, json)


@app.command()
def advise(file: File, seed: Seed = 0, json: Json = False) -> None:
    """What is probably wrong, and what to do next."""
    from tunekit.diagnosis import advise as ask
    from tunekit.show.text.advice import advice_text

    _show(ask(load_session(file), seed=seed), advice_text, json)


@app.command()
def sheet(
    file: File,
    out: Annotated[Path, typer.Option("-o", "--out", metavar="OUT.html", help="The page to write.")],
    json: Json = False,
) -> None:
    """Write the hand-over sheet, a page to print.

    One HTML file without scripts: bike, findings, chain, settings, log and cautions, for A4 and Letter.
    """


@app.command()
def trial(
    bikes: Annotated[int, typer.Option(min=1, max=100_000, help="How many virtual bikes.")] = 100,
    faults: Annotated[int, typer.Option(min=1, max=3, help="Hidden faults in each.")] = 1,
    seed: Seed = 0,
    sparse: Annotated[
        bool, typer.Option("--sparse", help="Log a few gears a ride instead of all of them.")
    ] = False,
    json: Json = False,
) -> None:
    """Try the advice on virtual bikes with hidden faults.

    Their physics and thresholds differ from those that the advice believes in.
    """
    from tunekit.diagnosis.trial import run_trial
    from tunekit.show.text.trial import trial_text

    with typer.progressbar(length=bikes, label="Bikes", file=sys.stderr) as bar:
        report = run_trial(bikes, faults, seed, sparse, lambda done, _: bar.update(done - bar.pos))
    _show(report, trial_text, json)
