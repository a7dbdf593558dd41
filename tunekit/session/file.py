"""The session file: JSON, UTF-8, one bike, written whole or not at all."""

import json
import os
import tempfile
from contextlib import suppress
from pathlib import Path

from pydantic import ValidationError

from tunekit.bike.errors import SessionError, TunekitError, one_sentence, shown
from tunekit.session.session import VERSION, Session, check_log

MAX_BYTES = 2_000_000


def session_from_text(text: str | bytes) -> Session:
    """A session from the file's text; raises SessionError with one line that names the field."""
    check_size(len(text), "session", SessionError)
    whole = decoded(text, "session", SessionError)
    raw = _parsed(whole)
    if not isinstance(raw, dict) or "tunekit_session" not in raw:
        raise SessionError("tunekit_session is missing, so this is not a session file; choose another file.")
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
    head = [f"{_line(key)}: {_line(value)}" for key, value in fields.items()]
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
    write_whole(session_to_text(session), path)


def check_size(size: int, kind: str, error: type[TunekitError]) -> None:
    """Raises `error` when a file of that many bytes is larger than any of ours."""
    if size > MAX_BYTES:
        raise error(f"file must be smaller than 2 MB (got {size / 1e6:.0f} MB); choose a {kind} file.")


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


def read_whole(path: str | os.PathLike[str], kind: str, error: type[TunekitError]) -> bytes:
    """A file's content, no more of it than a file of ours may have; raises `error` with one sentence."""
    try:
        with Path(path).open("rb") as file:
            content = file.read(MAX_BYTES + 1)
            size = max(len(content), os.fstat(file.fileno()).st_size)
    except (OSError, ValueError) as fault:  # ValueError: a name with a null byte
        reason = getattr(fault, "strerror", None) or fault
        raise error(f"{path} cannot be read ({reason}); check the name and try again.") from None
    check_size(size, kind, error)
    return content


def write_whole(text: str, path: str | os.PathLike[str]) -> None:
    """Write a text file atomically, keeping the old one's permissions and links; raises SessionError."""
    target = Path(os.path.realpath(path))
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, target.stat().st_mode & 0o777 if target.exists() else 0o644)
        os.replace(temporary, target)
    except OSError as error:
        if temporary:
            with suppress(OSError):
                os.unlink(temporary)
        raise SessionError(
            f"{path} cannot be written ({error.strerror}); the old file is untouched, choose another place."
        ) from None
