"""Tables with their source beside every row, and the sentences people read, as TOML.

The lowest floor of the house: every room may read a table, no table knows a room.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """The table `data/NAME.toml`; `name` may hold one folder, as in "words/fit"."""
    return tomllib.loads((files(__package__) / f"{name}.toml").read_text(encoding="utf-8"))


def phrase(room: str, key: str, **values: object) -> str:
    """The sentence `key` (dots step into sub-tables) of `data/words/ROOM.toml`, its {gaps} filled.

    Raises KeyError when the sentence or one of its gaps is missing.
    """
    found: Any = table(f"words/{room}")
    for step in key.split("."):
        found = found[step]
    return str(found).format(**values)
