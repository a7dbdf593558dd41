"""tunekit: a bench tool for bicycle mechanics."""

from tunekit.bike import Bike, PlanError, SessionError, TunekitError
from tunekit.diagnosis import Advice, advise
from tunekit.fit import ChainAdvice, Finding, FitReport, SwapReport, check_fit, size_chain, swap
from tunekit.runs import RunPlan, RunSheet, load_plan, plan_runs
from tunekit.session import Session, load_session, save_session
from tunekit.setup import setup_steps

__version__ = "0.1.0"
__all__ = [
    "Advice",
    "Bike",
    "ChainAdvice",
    "Finding",
    "FitReport",
    "PlanError",
    "RunPlan",
    "RunSheet",
    "Session",
    "SessionError",
    "SwapReport",
    "TunekitError",
    "advise",
    "check_fit",
    "load_plan",
    "load_session",
    "plan_runs",
    "save_session",
    "setup_steps",
    "size_chain",
    "swap",
]
