"""tunekit: a bench tool for bicycle mechanics."""

from tunekit.bike import Bike, PlanError, SessionError, TunekitError
from tunekit.session import Session, load_session, save_session

__version__ = "0.1.0"
__all__ = ["Bike", "PlanError", "Session", "SessionError", "TunekitError", "load_session", "save_session"]
