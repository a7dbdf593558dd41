"""A session as the store's rows, and back. Read without the file's rule on size: it was checked when written."""

from typing import Any

from pydantic import TypeAdapter, ValidationError

from tunekit.bike.errors import SessionError, one_sentence
from tunekit.session.faults import DamagedError, damaged
from tunekit.session.log import KEPT, LogEntry
from tunekit.session.session import Session, check_log

_entry: TypeAdapter[LogEntry] = TypeAdapter(LogEntry)
_log: TypeAdapter[tuple[LogEntry, ...]] = TypeAdapter(tuple[LogEntry, ...])
_APART = {"tunekit_session", "title", "bike", "log"}


def told_head(session: Session) -> dict[str, object]:
    """The columns of a session's row."""
    return {
        "title": session.title,
        "bike": session.bike.model_dump_json(),
        "rest": session.model_dump_json(exclude=_APART, exclude_defaults=True),
        "length": len(session.log),
    }


def titled(session: Session, title: str) -> Session:
    """The session under another title; raises SessionError when it cannot be one."""
    try:
        return session.model_copy(update={"title": Session(title=title, bike=session.bike).title})
    except ValidationError as error:
        raise SessionError(one_sentence(error)) from None


def told_entry(body: str) -> LogEntry:
    """One entry from its row; raises DamagedError."""
    try:
        return _entry.validate_json(body, context=KEPT)
    except ValidationError:
        raise damaged("an entry") from None


def rebuilt(row: Any, bodies: list[str]) -> Session:
    """A session from its rows; raises DamagedError with its own remedy."""
    try:
        log = _log.validate_json(f"[{','.join(bodies)}]", context=KEPT)
        bike = f'"bike":{row.bike}'
        rest = row.rest.strip().removeprefix("{").removesuffix("}")
        head = Session.model_validate_json(
            f"{{{','.join(part for part in (bike, rest) if part)}}}", context=KEPT
        )
        check_log(head.bike, log)
    except (ValidationError, SessionError) as error:
        told = one_sentence(error) if isinstance(error, ValidationError) else str(error)
        raise DamagedError(
            f"“{row.title}” can no longer be read by this version of the tool ({told.rstrip('.')}); "
            "undo until it opens, or bring back the newest sound copy: tunekit store restore."
        ) from None
    return head.model_copy(update={"title": row.title, "log": log})
