"""What the commands share: their common options, printing, and the way bad input is told."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from tunekit import Bike, Session, TunekitError
from tunekit.bike.errors import clean

Result = TypeVar("Result")

File = Annotated[Path, typer.Argument(metavar="FILE", help="The session file.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON whose keys are the result's attribute names.")]
Seed = Annotated[int, typer.Option(min=0, help="Seed; the same file and seed give the same answer.")]


class PrintError(Exception):
    """The answer could not be printed; what was asked for is done."""


def say(text: str) -> None:
    """Print and flush, without control characters; a reader that went away (`| head`) is no error.

    Raises PrintError when standard output takes no more.
    """
    try:
        print("\n".join(clean(line) for line in text.split("\n")), flush=True)
    except BrokenPipeError:
        _give_up_output()
        raise typer.Exit(0) from None
    except OSError as error:
        _give_up_output()
        raise PrintError(str(error.strerror)) from None


def _give_up_output() -> None:
    """Else the interpreter complains once more when it closes what cannot be written."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def show(result: Result, as_text: Callable[[Result], str], json: bool) -> None:
    """Print the result, as JSON when asked."""
    from tunekit.show.as_json import json_text

    say(json_text(result) if json else as_text(result))


def show_of(session: Session, result: Result, as_text: Callable[[Result], str], json: bool) -> None:
    """Print what a command answers about a session; what is known to be wrong with the bike stands above it."""
    from tunekit.show.text.known import with_known

    show(result, lambda answer: with_known(session, as_text(answer)), json)


def with_teeth(bike: Bike, **options: str | None) -> Bike:
    """The bike with other cogs or rings, given as 11,13,15; raises TunekitError when they cannot be."""
    teeth = {name: _teeth(text, name) for name, text in options.items() if text is not None}
    return Bike.build(**{**dict(bike), **teeth})


def _teeth(text: str, name: str) -> tuple[int, ...]:
    try:
        return tuple(int(part) for part in text.replace(",", " ").split())
    except ValueError:
        raise TunekitError(
            f"--{name} must be tooth counts like 11,13,15 (got {text}); correct the list."
        ) from None


def complain(message: str) -> int:
    """One plain line on standard error; the exit code for bad input."""
    print(f"tunekit: {clean(' '.join(message.split()))}", file=sys.stderr)
    return 2
