"""The sample sessions that ship with the tool."""

from pathlib import Path

_PACKAGE = Path(__file__).parents[1]


def sample_paths() -> tuple[Path, ...]:
    """The sample session files by name: inside the installed package, or beside it in a checkout."""
    places = (_PACKAGE / "sample_sessions", _PACKAGE.parent / "sample_sessions")
    return next((found for place in places if (found := tuple(sorted(place.glob("*.json"))))), ())
