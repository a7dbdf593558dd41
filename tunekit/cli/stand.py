"""The app, the starter bikes and a new session."""

import os
import sys
from pathlib import Path
from typing import Annotated

import typer
from pydantic import ValidationError

from tunekit import Bike, Session, SessionError, TunekitError, save_session
from tunekit.bike.errors import one_sentence
from tunekit.bike.starters import starter as starter_bike
from tunekit.bike.starters import starter_names
from tunekit.cli.shell import Json, say, show, with_teeth
from tunekit.session.disk import is_taken
from tunekit.session.file import session_to_text


def open_app(
    port: Annotated[
        int | None, typer.Option(min=1, max=65535, help="Port to listen on; free choice if left out.")
    ] = None,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Do not open a browser (for a server).")
    ] = False,
) -> None:
    """Open the app in the browser; it listens on this machine only."""
    pages = Path(__file__).parents[1] / "pages"
    # Streamlit reads the .streamlit beside its script: in a wheel that is served.py, in a checkout app.py.
    entry = pages / "served.py" if (pages / ".streamlit").is_dir() else pages.parents[1] / "app.py"
    options = ["--server.address=127.0.0.1", f"--server.headless={'true' if no_browser else 'false'}"]
    # Else the first start on a machine waits for an e-mail address to be typed.
    options.append("--server.showEmailPrompt=false")
    if port is not None:
        options.append(f"--server.port={port}")
    command = [sys.executable, "-m", "streamlit", "run", str(entry), *options]
    if os.name == "posix":
        os.execv(sys.executable, command)
    import subprocess

    raise typer.Exit(subprocess.run(command, check=False).returncode)


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
    show([starter_sheet(name) for name in names], starters_text, json)


def new(
    starter: Annotated[
        str, typer.Option(metavar="NAME", help="Name of a starter bike (see `tunekit starters`).")
    ],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="File to write; printed if left out.")
    ] = None,
    title: Annotated[str, typer.Option(metavar="TEXT", help="What to call the bike or the job.")] = "",
    cogs: Annotated[str | None, typer.Option(metavar="TEETH", help="Its own cogs, as 11,13,15.")] = None,
    rings: Annotated[str | None, typer.Option(metavar="TEETH", help="Its own rings, as 34,50.")] = None,
    links: Annotated[int | None, typer.Option(help="Links of its chain, 12.7 mm each.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace the file if it exists.")] = False,
    json: Json = False,
) -> None:
    """Begin a session from a starter bike."""
    bike = with_teeth(starter_bike(starter), cogs=cogs, rings=rings)
    if links is not None:
        bike = Bike.build(**{**dict(bike), "chain": {**dict(bike.chain), "links": links}})
    session = _session(title, bike)
    if out is None:
        say(session_to_text(session).rstrip())
        return
    if is_taken(out) and not force:
        raise TunekitError(f"{out} exists already; choose another name, or add --force to replace it.")
    save_session(session, out)
    show(session, lambda _: f"{out}: a new session from the starter bike {starter}", json)


def _session(title: str, bike: Bike) -> Session:
    try:
        return Session(title=title, bike=bike)
    except ValidationError as error:
        raise SessionError(one_sentence(error)) from None
