"""The session file: JSON, UTF-8, one bike, written whole or not at all."""

import json
import os
from collections.abc import Callable

from pydantic import ValidationError

from tunekit.bike.errors import SessionError, TunekitError, one_sentence, shown
from tunekit.session.disk import MAX_BYTES, check_size, held, read_whole, write_whole
from tunekit.session.faults import CONFLICT, ConflictError
from tunekit.session.log import Noted
from tunekit.session.session import READ, VERSION, Session, check_log

__all__ = [
    "MAX_BYTES",
    "change_session",
    "check_fits",
    "check_size",
    "check_version",
    "decoded",
    "load_session",
    "read_whole",
    "save_session",
    "session_from_text",
    "session_to_text",
    "write_whole",
]

ALWAYS = ("tunekit_session", "title")
"""Written also where they say nothing new."""
DEFAULTS = {name: field.default for name, field in Session.model_fields.items()}
ENTRY_BYTES = 400
"""No entry but a note takes more in a file."""
HEAD_BYTES = 50_000
"""No bike and title take more in a file."""


def session_from_text(text: str | bytes) -> Session:
    """A session from the file's text; raises SessionError with one line that names the field."""
    check_size(
        len(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")),
        "session",
        SessionError,
    )
    whole = decoded(text, "session", SessionError)
    raw = _parsed(whole)
    if not isinstance(raw, dict) or "tunekit_session" not in raw:
        raise SessionError("tunekit_session is missing, so this is not a session file; choose another file.")
    if raw["tunekit_session"] not in READ or isinstance(raw["tunekit_session"], bool):
        check_version("tunekit_session", raw["tunekit_session"], VERSION, SessionError)
    try:
        session = Session.model_validate_json(whole)
    except ValidationError as error:
        # Half a surrogate pair: the standard library reads it, but it is no text.
        broken = error.errors(include_url=False)[0]["type"] == "json_invalid"
        raise SessionError(_breaks_at("an escaped character") if broken else one_sentence(error)) from None
    check_log(session.bike, session.log)
    return session


def _parsed(text: str) -> object:
    try:
        return json.loads(text)
    except RecursionError:
        raise SessionError("file must be a session (got endless nesting); choose a session file.") from None
    except json.JSONDecodeError as error:
        raise SessionError(_breaks_at(f"line {error.lineno}, column {error.colno}")) from None
    except ValueError:  # digits beyond what Python converts
        raise SessionError(_breaks_at("a number of endless digits")) from None


def _breaks_at(place: str) -> str:
    return f"file must be whole JSON (it breaks at {place}); open another copy or save the session again."


def session_to_text(session: Session) -> str:
    """The session as the file's text, readable by a person: a line for each part and each entry."""
    fields = session.model_dump(mode="json")
    bike, log = fields.pop("bike"), fields.pop("log")
    parts = [f"{_line(part)}: {_line(held)}" for part, held in bike.items()]
    entries = [_line(_told(entry)) for entry in log]
    said = {key: value for key, value in fields.items() if key in ALWAYS or value != DEFAULTS[key]}
    head = [f"{_line(key)}: {_line(value)}" for key, value in said.items()]
    body = [*head, f'"bike": {{{_indented(parts)}}}', f'"log": [{_indented(entries)}]']
    return "{\n " + ",\n ".join(body) + "\n}\n"


def _told(entry: dict[str, object]) -> dict[str, object]:
    """An entry's kind first, and nothing of what was not said."""
    return {"kind": entry["kind"]} | {key: value for key, value in entry.items() if value is not None}


def _line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _indented(rows: list[str]) -> str:
    return "\n  " + ",\n  ".join(rows) + "\n " if rows else ""


def load_session(path: str | os.PathLike[str]) -> Session:
    """Read a session file; raises SessionError with one line that names the field."""
    return session_from_text(read_whole(path, "session", SessionError))


def save_session(session: Session, path: str | os.PathLike[str]) -> None:
    """Write a session file atomically: the old file or the new one, never half. Raises SessionError."""
    check_fits(session)
    write_whole(session_to_text(session), path)


def change_session(path: str | os.PathLike[str], change: Callable[[Session], Session]) -> Session:
    """Read a session file, change it and write it, one shell after the other; returns the changed session.

    The file is held meanwhile, and replaced only if it still is what was read. Raises SessionError, or
    ConflictError when another program wrote it.
    """
    with held(path, SessionError):
        before = read_whole(path, "session", SessionError)
        session = change(session_from_text(before))
        if read_whole(path, "session", SessionError) != before:
            raise ConflictError(CONFLICT)
        save_session(session, path)
    return session


def check_fits(session: Session) -> None:
    """Raise SessionError when the session's file would be too large to be read again."""
    notes = sum(len(entry.text.encode()) for entry in session.log if isinstance(entry, Noted))
    if HEAD_BYTES + ENTRY_BYTES * len(session.log) + 2 * notes < MAX_BYTES:
        return
    if len(session_to_text(session).encode()) > MAX_BYTES:
        raise SessionError(
            "this session's file would be larger than 2 MB, which no session file may be; "
            "nothing was written, begin a new session for what comes next."
        )


def check_version(key: str, found: object, known: int, error: type[TunekitError]) -> None:
    """Raises `error` when a later tool wrote the file, or the version is no number of ours."""
    if found is None or (found == known and not isinstance(found, bool)):
        return
    later = isinstance(found, int) and found > known
    remedy = "update the tool to open this file" if later else "correct the number"
    raise error(f"{key} must be {known} (got {shown(found)}); {remedy}.")


def decoded(text: str | bytes, kind: str, error: type[TunekitError]) -> str:
    """The file's text without a byte order mark; raises `error` when the bytes are not UTF-8."""
    try:
        whole = text.decode("utf-8") if isinstance(text, bytes) else text
    except UnicodeDecodeError:
        raise error(f"file must be UTF-8 text (got other bytes); choose a {kind} file.") from None
    return whole.removeprefix("\ufeff")
