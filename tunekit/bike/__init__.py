"""The nouns: what is bolted on, and starter bikes by class."""

from tunekit.bike.errors import PlanError, SessionError, TunekitError
from tunekit.bike.model import (
    Bike,
    Cassette,
    Chain,
    Crank,
    Frame,
    FrontDerailleur,
    RearDerailleur,
    Wheel,
)
from tunekit.bike.starters import StarterRow, starter, starter_names, starter_rows, starter_title

__all__ = [
    "Bike",
    "Cassette",
    "Chain",
    "Crank",
    "Frame",
    "FrontDerailleur",
    "PlanError",
    "RearDerailleur",
    "SessionError",
    "StarterRow",
    "TunekitError",
    "Wheel",
    "starter",
    "starter_names",
    "starter_rows",
    "starter_title",
]
