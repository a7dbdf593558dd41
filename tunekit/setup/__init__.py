"""The set-up walk: steps, targets for this bike, verdicts and corrections, all read from the log.

log ──replay──> value of each step ──verdict──> pass, adjust (turn this far) or redo
"""

from tunekit.setup.answers import answer, begin, not_sure, skip
from tunekit.setup.records import Asks, Block, Caution, Correction, QuietWindow, Step, Target, Verdict, Walk
from tunekit.setup.rows import walks_for
from tunekit.setup.walk import default_walk, setup_steps, step_for

__all__ = [
    "Asks",
    "Block",
    "Caution",
    "Correction",
    "QuietWindow",
    "Step",
    "Target",
    "Verdict",
    "Walk",
    "answer",
    "begin",
    "default_walk",
    "not_sure",
    "setup_steps",
    "skip",
    "step_for",
    "walks_for",
]
