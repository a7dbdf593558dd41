"""Checksums of the store's rows, so that a change that nobody made through the tool is seen."""

import hashlib

HEAD = ("id", "version", "title", "bike", "rest", "length", "removed")
"""The columns of a session's row that its checksum covers, in order."""


def row_sum(*fields: object) -> str:
    """SHA-256 over the fields, each with its length before it, so that no two rows share a text."""
    whole = hashlib.sha256()
    for field in fields:
        part = str(field).encode("utf-8", "surrogatepass")
        whole.update(b"%d:" % len(part))
        whole.update(part)
    return whole.hexdigest()


def entry_sum(session_id: str, position: int, body: str) -> str:
    """The checksum of one entry's row."""
    return row_sum(session_id, position, body)
