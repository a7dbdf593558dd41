"""What goes wrong with keeping a session, each with its own remedy."""

from tunekit.bike.errors import SessionError

CONFLICT = (
    "this session was changed at another bench meanwhile, so this change was not written; "
    "look at the log as it is now and enter it again."
)


class StoreError(SessionError):
    """The store cannot be read or written; the session is as it was."""


class ConflictError(StoreError):
    """Another bench changed the session first; nothing was written."""


class DamagedError(StoreError):
    """What the store holds is not what was written."""


_REMEDIES = {
    "full": "free some space",
    "readonly": "give your user the right to write there",
    "unable to open": "check that the folder exists and may be written",
    "locked": "close the other program that holds it and try again",
    "malformed": "bring back the newest sound copy: tunekit store restore",
    "not a database": "it is no store, or it is damaged; bring back the newest sound copy: tunekit store restore",
    "decode": "bring back the newest sound copy: tunekit store restore",
}
"""By a word of SQLite's own sentence (its result codes; sqlite.org/rescode.html)."""


def cannot_use(path: object, reason: str) -> StoreError:
    """The store cannot be used for this reason: damage and lack of room are told apart."""
    remedy = next((told for word, told in _REMEDIES.items() if word in reason.lower()), "try again")
    kind = DamagedError if "restore" in remedy else StoreError
    return kind(
        f"the store {path} cannot be used ({reason}); {remedy}, or set TUNEKIT_STORE to another file."
    )


def damaged(what: str) -> DamagedError:
    """A row is not what was written."""
    return DamagedError(
        f"{what} is not what was written into the store (its checksum differs); "
        "undo until it is gone, or bring back the newest sound copy: tunekit store restore."
    )
