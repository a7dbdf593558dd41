"""Words: what truly happens, the word written down for it, and what is written when the ear errs."""

from functools import cache
from typing import Any, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tunekit.data import table
from tunekit.session.vocabulary import RING_SHIFTS, SHIFTS, Heard

Floats = NDArray[np.floating[Any]]


@cache
def true_words() -> tuple[str, ...]:
    """What can truly happen, "clean" apart; some are finer than the log's words (side, once per what)."""
    return tuple(table("hearing")["reported"])


@cache
def word_index(word: str) -> int:
    """Place of a true word."""
    return true_words().index(word)


@cache
def reported_as(what: str, side: str | None, per: str | None) -> Floats:
    """Chance that each true word is written down as this one; shape (true words,)."""
    names = _finer(what, side, per)
    rows = table("hearing")["reported"].values()
    return np.array([sum(row.get(name, 0.0) * share for name, share in names.items()) for row in rows])


def _finer(what: str, side: str | None, per: str | None) -> dict[str, float]:
    """The reported names that an entry stands for, each with the share of it that the entry claims."""
    if what == "rattle":
        if side is None:
            return {"rattle": 1.0, "rattle_inboard": 1.0, "rattle_outboard": 1.0}
        return {f"rattle_{side}": 1.0, "rattle": 0.5}
    if what == "tick":
        pers = [per] if per else ["chain", "crank", "wheel", "cog", "pulley"]
        return {f"tick_{name}": 1.0 for name in pers}
    return {what: 1.0}


def moment_class(moment: str) -> str:
    """cog_shift, ring_shift or in_gear."""
    if moment in RING_SHIFTS:
        return "ring_shift"
    return "cog_shift" if moment in SHIFTS else "in_gear"


@cache
def mistaken(what: str, moment: str) -> float:
    """Chance of this word when it has nothing to do with the bike."""
    row = table("hearing")["mistaken"][moment_class(moment)]
    if what in row:
        return float(row[what])
    unnamed = len(get_args(Heard)) - (len(row) - 1)
    return float(row["rest"]) / unnamed


def hazard(probability: ArrayLike) -> Floats:
    """Rate of a word that alone would be heard with this probability: -log(1 - p). Rates of several causes add up."""
    return np.asarray(-np.log1p(-np.minimum(np.maximum(probability, 0.0), 0.995)))
