"""The store of the app's sessions: is it sound, its copies, and bringing the newest one back."""

from typing import TYPE_CHECKING

import typer

from tunekit import TunekitError
from tunekit.cli.shell import Json, show

if TYPE_CHECKING:
    from tunekit.session.copies import Copy

store = typer.Typer(
    rich_markup_mode=None, help="The app's sessions: check, copy, restore.", no_args_is_help=True
)


def _told(copy: "Copy") -> dict[str, object]:
    return {"path": copy.path, "made": copy.made.isoformat(), "sessions": copy.sessions}


@store.command()
def check(json: Json = False) -> None:
    """Read every row of the store and compare it with its checksum."""
    from tunekit.session.copies import faults_in
    from tunekit.session.store import default_path

    path = default_path()
    faults = faults_in(path)
    if faults:
        raise TunekitError(
            f"{path} is damaged: {'; '.join(faults[:10])} ({len(faults)} in all); "
            "bring back the newest sound copy: tunekit store restore."
        )
    show({"path": path, "sound": True}, lambda _: f"{path}: sound", json)


@store.command()
def copy(json: Json = False) -> None:
    """Make a copy now and read it back; the newest five are kept."""
    from tunekit.session.copies import make_copy
    from tunekit.session.store import Store

    made = _told(make_copy(Store().path))
    show(made, lambda _: f"{made['path']}: {made['sessions']} sessions, read back and sound", json)


@store.command()
def copies(json: Json = False) -> None:
    """List the copies that are kept, newest first."""
    from tunekit.session.copies import copies_of
    from tunekit.session.store import default_path

    found = [_told(copy) for copy in copies_of(default_path())]
    lines = "\n".join(f"{copy['path']}: {copy['sessions']} sessions" for copy in found)
    show(found, lambda _: lines or "No copy yet.", json)


@store.command()
def restore(json: Json = False) -> None:
    """Bring back the newest sound copy; the store as it was is set aside, not thrown away."""
    from tunekit.session.copies import restore as bring_back
    from tunekit.session.store import default_path

    sound, aside = bring_back(default_path())
    told = f"Restored from {sound.path.name}: {sound.sessions} sessions."
    if aside is not None:
        told += f" The store as it was lies in {aside}."
    show({"copy": _told(sound), "aside": aside}, lambda _: told, json)
