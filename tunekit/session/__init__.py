"""The log, the session, its file. The store (`tunekit.session.store`) is imported only where it is used."""

from tunekit.session.file import load_session, save_session, session_from_text, session_to_text
from tunekit.session.log import Fitted, Heard, LogEntry, Measured, Noted, Told, Turned, make_entry
from tunekit.session.session import Session, check_entry

__all__ = [
    "Fitted",
    "Heard",
    "LogEntry",
    "Measured",
    "Noted",
    "Session",
    "Told",
    "Turned",
    "check_entry",
    "load_session",
    "make_entry",
    "save_session",
    "session_from_text",
    "session_to_text",
]
