"""What is known to be wrong, above what any command prints about a session."""

from tunekit.known import known
from tunekit.session import Session
from tunekit.show.known import known_lines
from tunekit.show.text.columns import paragraphs, wrapped


def known_block(session: Session) -> str:
    """One paragraph of facts, the worst first; "" when nothing is known to be wrong."""
    return "\n".join(wrapped(line, first="! ") for line in known_lines(known(session)))


def with_known(session: Session, text: str) -> str:
    """What a command answers, the facts above it."""
    return paragraphs(known_block(session), text)
