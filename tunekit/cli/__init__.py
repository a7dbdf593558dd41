"""The command line: a command reads its input, makes one call and prints the answer.

Exit 0 on success; 2 with one plain line on standard error when the input cannot be used. Whatever is slow to
import is imported inside the commands, so that `tunekit --help` answers at once.
"""

import os
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from tunekit import TunekitError, __version__
from tunekit.cli import bike, stand, work
from tunekit.cli.log import log
from tunekit.cli.shell import PrintError, complain, say
from tunekit.cli.store import store

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
app.command("app")(stand.open_app)
for ask in (stand.starters, stand.new, bike.fit, bike.chain, bike.gears, bike.line):
    app.command()(ask)
app.add_typer(log, name="log")
app.add_typer(store, name="store")
for do in (work.runs, work.steps, work.advise, work.sheet, work.trial):
    app.command()(do)


@app.callback(invoke_without_command=True)
def root(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Show the version and exit.")] = False,
) -> None:
    """A bench tool for bicycle mechanics.

    Fit, chain, wires, set-up and the next turn, worked out for one bike. A session file holds a bike and a
    log of what happened at the stand; begin with `tunekit new`.
    """
    if version:
        say(__version__)
    elif context.invoked_subcommand is None:
        say(context.get_help())


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0, or 2 after one line on standard error.

    An answer that cannot be printed, and a fault of our own, is one line too, and exit 1;
    TUNEKIT_TRACEBACK=1 shows where it happened.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        done = typer.main.get_command(app).main(arguments, prog_name="tunekit", standalone_mode=False)
    except TunekitError as error:
        return complain(str(error))
    except PrintError as error:
        complain(
            f"what you asked for is done, but its answer could not be printed ({error}); free some space."
        )
        return 1
    except typer.TyperException as error:
        return complain(f"{error.format_message().rstrip('.')}; see tunekit --help.")
    except typer.Abort:
        return 130
    except Exception as error:
        if os.environ.get("TUNEKIT_TRACEBACK"):
            raise
        complain(
            f"a fault of tunekit, not of your input ({type(error).__name__}: {error}); please report it."
        )
        return 1
    return done or 0
