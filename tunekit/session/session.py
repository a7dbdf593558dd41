"""A session is a bike and a log; everything else is computed from those two."""

from collections.abc import Iterable
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from tunekit.bike.errors import SessionError, shown
from tunekit.bike.model import Bike, Part
from tunekit.session.log import Fitted, Heard, LogEntry, Measured

VERSION: Final = 2
READ: Final = (1, 2)
"""Versions of the file that are read; the first means what it meant."""
MAX_ENTRIES = 5000

Tools = Literal["hands", "keys", "stand"]
"""Bare hands; a hex key and a ruler; a full stand with gauges."""


class Session(Part):
    """One bike at the stand."""

    tunekit_session: Literal[2] = VERSION
    title: Annotated[str, Field(max_length=200)] = ""
    bike: Bike
    tools: Tools = "stand"
    """What is at hand; all of it where nobody said."""
    goal: Annotated[str, Field(max_length=200)] | None = None
    """What the bike is to become."""
    owner: Annotated[str, Field(max_length=100)] = ""
    tag: Annotated[str, Field(max_length=40)] = ""
    """The workshop's own mark on the bike."""
    log: Annotated[tuple[LogEntry, ...], Field(strict=False, max_length=MAX_ENTRIES)] = ()

    @model_validator(mode="before")
    @classmethod
    def _from_version_1(cls, given: object) -> object:
        """A session of version 1 means what it meant: version 2 only adds fields with defaults."""
        if (
            isinstance(given, dict)
            and given.get("tunekit_session") == 1
            and given["tunekit_session"] is not True
        ):
            return {**given, "tunekit_session": VERSION}
        return given

    @property
    def bike_now(self) -> Bike:
        """The bike with the chain that the log last counted or fitted; a new one that nobody counted is unknown."""
        links = self.bike.chain.links
        for entry in self.log:
            renewed = isinstance(entry, Fitted) and entry.what == "chain"
            links = getattr(entry, "links", None) if renewed else _chain_links(entry) or links
        return self.bike.model_copy(update={"chain": self.bike.chain.model_copy(update={"links": links})})

    def with_entry(self, entry: LogEntry) -> Self:
        """The session with one more entry; raises SessionError when the bike lacks its cog or ring, or it is full."""
        if len(self.log) >= MAX_ENTRIES:
            raise SessionError(
                f"log takes at most {MAX_ENTRIES} entries (got one more); begin a new session for this bike."
            )
        check_entry(self.bike, entry)
        return self.model_copy(update={"log": (*self.log, entry)})

    def undone(self) -> Self:
        """The session without its last entry."""
        return self.model_copy(update={"log": self.log[:-1]})

    def on_bike(self, bike: Bike) -> Self:
        """The session with another bike; raises SessionError when it lacks a cog or ring of the log."""
        check_log(bike, self.log)
        return self.model_copy(update={"bike": bike})


def _chain_links(entry: LogEntry) -> int | None:
    """The even number of links that an entry counts, or None."""
    if (
        not isinstance(entry, Measured)
        or entry.what != "chain_length_links"
        or isinstance(entry.value, tuple)
    ):
        return None
    return int(entry.value) if 40 <= entry.value <= 300 and entry.value % 2 == 0 else None


def _lacks(place: str, part: str, teeth: int, has: tuple[int, ...]) -> SessionError:
    return SessionError(
        f"{place}{part} must be one of the bike's {part}s, {shown(has)} (got {teeth}); "
        f"correct the {part} or the bike."
    )


def check_entry(bike: Bike, entry: LogEntry, place: str = "") -> None:
    """Raise SessionError when the entry names a cog or ring that the bike lacks, or an odd chain."""
    if not isinstance(entry, Heard | Measured | Fitted):
        return
    if entry.cog is not None and entry.cog not in bike.cogs:
        raise _lacks(place, "cog", entry.cog, bike.cogs)
    if entry.ring is not None and entry.ring not in bike.rings:
        raise _lacks(place, "ring", entry.ring, bike.rings)
    if isinstance(entry, Fitted) and entry.links is not None and entry.links % 2:
        raise SessionError(f"{place}links must be even (got {entry.links}); count the chain again.")


def check_log(bike: Bike, log: Iterable[LogEntry]) -> None:
    """Check every entry against the bike; the sentence names the entry by its place in the log."""
    for number, entry in enumerate(log, 1):
        check_entry(bike, entry, f"log[{number}].")
