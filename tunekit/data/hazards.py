"""The one table of hazards (words/hazards.toml): what can hurt, its signal word, and how it is said in one line."""

from tunekit.data import table


def signal(hazard: str) -> str:
    """WARNING, CAUTION or NOTICE. Raises KeyError for a hazard that the table lacks."""
    return str(table("words/hazards")[hazard]["signal"])


def sentence(hazard: str) -> str:
    """What it is, what it does, how to stay clear; without its signal word."""
    row = table("words/hazards")[hazard]
    return f"{row['hazard']} {row['consequence']} {row['avoidance']}"


def warning(hazard: str, says: str | None = None) -> str:
    """The signal word, then the hazard's own sentence or the one that this place has for it."""
    return f"{signal(hazard)}: {says or sentence(hazard)}"
