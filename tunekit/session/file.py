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
    try:
        raw = json.loads(text)
    except UnicodeDecodeError:
        raise SessionError("file must be UTF-8 text (got other bytes); choose a session file.") from None
    except RecursionError:
        raise SessionError("file must be a session (got endless nesting); choose a session file.") from None
    except ValueError as error:
        at = (
            f"line {error.lineno}, column {error.colno}"
            if isinstance(error, json.JSONDecodeError)
            else "an unknown place"
        )
        raise SessionError(
            f"file must be whole JSON (it breaks at {at}); open another copy or save the session again."
        ) from None
    if not isinstance(raw, dict) or "tunekit_session" not in raw:
        raise SessionError("tunekit_session is missing, so this is not a session file; choose another file.")
    check_version("tunekit_session", raw["tunekit_session"], VERSION, SessionError)
    try:
        session = Session.model_validate_json(text)
    except ValidationError as error:
        raise SessionError(one_sentence(error)) from None
    check_log(session.bike, session.log)
    return session


def session_to_text(session: Session) -> str:
    """The session as the file's text, readable by a person."""
    return json.dumps(session.model_dump(mode="json"), indent=1, ensure_ascii=False) + "\n"


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
    """Raises `error` when a later tool wrote the file."""
    if isinstance(found, int) and found > known:
        raise error(f"{key} must be {known} (got {shown(found)}); update the tool to open this file.")


def read_whole(path: str | os.PathLike[str], kind: str, error: type[TunekitError]) -> bytes:
    """A file's content, no more of it than a file of ours may have; raises `error` with one sentence."""
    try:
        with Path(path).open("rb") as file:
            content = file.read(MAX_BYTES + 1)
            check_size(max(len(content), os.fstat(file.fileno()).st_size), kind, error)
    except OSError as fault:
        raise error(f"{path} cannot be read ({fault.strerror}); check the name and try again.") from None
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
