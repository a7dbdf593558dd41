"""The set-up walk: steps, targets for this bike, verdicts and corrections, all read from the log.

log ──replay──> value of each step ──verdict──> pass, adjust (turn this far) or redo
"""

from tunekit.setup.answers import answer, begin, not_sure, skip
from tunekit.setup.job import rechecks, torques
from tunekit.setup.records import (
    Asks,
    Block,
    Caution,
    Correction,
    QuietWindow,
    Recheck,
    Step,
    Target,
    Torque,
    Verdict,
    Walk,
    Without,
)
from tunekit.setup.rows import walks_for
from tunekit.setup.walk import default_walk, setup_steps, step_for

__all__ = [
    "Asks",
    "Block",
    "Caution",
    "Correction",
    "QuietWindow",
    "Recheck",
    "Step",
    "Target",
    "Torque",
    "Verdict",
    "Walk",
    "Without",
    "answer",
    "begin",
    "default_walk",
    "not_sure",
    "rechecks",
    "setup_steps",
    "skip",
    "step_for",
    "torques",
    "walks_for",
]
