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
    "TunekitError",
    "Wheel",
]
