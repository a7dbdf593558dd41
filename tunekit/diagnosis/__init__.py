"""What is wrong and what to turn next: forward model, belief, update, moves and choice, each in a file of that name."""

from tunekit.diagnosis.advice import Advice, Cause, Evidence, Gear, Move, Offset, SetAside, Tie
from tunekit.diagnosis.advise import advise

__all__ = ["Advice", "Cause", "Evidence", "Gear", "Move", "Offset", "SetAside", "Tie", "advise"]
