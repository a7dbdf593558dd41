"""Constants from practice are known to 30 % at best: the first step must not hang on any one of them."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tunekit.data import table
from tunekit.diagnosis import Advice, advise

SPREAD, CHANGED, SAME = 0.30, 0.5, 0.90
"""Standard deviation of the factors, the share of the constants drawn anew, and the share of first steps that hold."""
THRESHOLDS = {
    "quiet": ("levels_mm",),
    "turns": ("disturbed_mm",),
    "stops": (
        "high_limit_tight_mm",
        "high_limit_loose_mm",
        "low_limit_tight_mm",
        "low_limit_loose_mm",
        "high_limit_loose_from_mm",
        "low_limit_loose_from_mm",
    ),
    "hanger": ("tilt_deg", "left_deg"),
    "rate": ("per_click_mm",),
    "drag": ("lag_mm",),
    "spacing": ("step_mm",),
    "misfit": ("off_mm",),
    "gap": ("small_mm", "large_mm", "band_mm", "felt_at_large"),
    "front": (
        "height_mm",
        "angle_deg",
        "inner_mm",
        "outer_mm",
        "index_mm",
        "tail_mm_per_deg",
        "seen_of_loose",
    ),
    "wheel": ("off_mm",),
}
"""Millimetres and degrees of model.toml that belong together."""


Factor = Callable[[np.random.Generator], float]


def loose(rng: np.random.Generator) -> float:
    """Half of the constants are drawn anew, 30 % wide."""
    return float(np.exp(rng.normal(0, SPREAD))) if rng.random() < CHANGED else 1.0


def within_a_fifth(rng: np.random.Generator) -> float:
    """Every constant is drawn anew, anywhere within a fifth."""
    return float(rng.uniform(0.8, 1.2))


def scale(row: dict[str, Any], factor: Callable[[], float], most: float = np.inf) -> None:
    """Multiply the numbers of a table's row, each by a factor of its own; chances stay below `most`."""
    for key, value in row.items():
        if isinstance(value, dict):
            scale(value, factor, most)
        elif isinstance(value, int | float) and not isinstance(value, bool):
            row[key] = min(value * factor(), most)


def stretch(value: Any, by: float) -> Any:
    """All numbers of a nested row by one factor: sizes of a fault and the band that it leaves belong together."""
    if isinstance(value, dict):
        return {key: stretch(part, by) for key, part in value.items()}
    return [stretch(part, by) for part in value] if isinstance(value, list) else value * by


def vary(rng: np.random.Generator, draw: Factor = loose) -> None:
    """Draw priors, word chances, what looks find, thresholds and error rates anew."""

    def factor() -> float:
        return draw(rng)

    for cause in table("causes").values():
        cause["prior"] *= factor()
        scale(cause.get("told", {}), factor)
        scale(cause.get("finds", {}), factor, 0.97)
        for line in cause.get("says", ()):
            scale(line["words"], factor, 0.97)
    model = table("model")
    for part, keys in THRESHOLDS.items():
        by = factor()
        model[part].update({key: stretch(model[part][key], by) for key in keys})
    error = table("hearing")["error"]
    error["levels"] = [min(x * factor(), 0.4) for x in error["levels"]]


def step(found: Advice) -> tuple[str, str] | None:
    return None if found.next is None else (found.next.kind, found.next.what)


def held(cases: list[Any], draws: int, fresh: Callable[[], None], factor: Factor) -> float:
    """Share of (case, draw) pairs whose first step is that of the constants as they stand."""
    usual = [step(advise(case.session)) for case in cases]
    same = []
    for draw in range(draws):
        fresh()
        vary(np.random.default_rng([11, draw]), factor)
        same += [step(advise(case.session)) == first for case, first in zip(cases, usual, strict=True)]
    fresh()
    return float(np.mean(same))


def accepted(cases: list[Any], draws: int, fresh: Callable[[], None]) -> float:
    """Share of (case, draw) pairs whose first step the text accepts."""
    found = []
    for draw in range(draws):
        fresh()
        vary(np.random.default_rng([11, draw]))
        found += [case.first_step(advise(case.session)) for case in cases]
    fresh()
    return float(np.mean(found))


def test_the_draws_truly_change_the_tables(fresh_tables: Callable[[], None]) -> None:
    before = [cause["prior"] for cause in table("causes").values()]
    levels = list(table("hearing")["error"]["levels"])
    sizes = {part: [table("model")[part][key] for key in keys] for part, keys in THRESHOLDS.items()}
    vary(np.random.default_rng(12))
    after = [cause["prior"] for cause in table("causes").values()]
    changed = np.mean([a != b for a, b in zip(after, before, strict=True)])
    assert 0.3 < changed < 0.7
    for seed in range(8):
        vary(np.random.default_rng([13, seed]))
    assert all(
        [table("model")[part][key] for key in keys] != sizes[part] for part, keys in THRESHOLDS.items()
    )
    fresh_tables()
    assert [cause["prior"] for cause in table("causes").values()] == before
    assert table("hearing")["error"]["levels"] == levels


def test_what_is_done_first_stays_acceptable(cases: list[Any], fresh_tables: Callable[[], None]) -> None:
    assert accepted(cases[::3], 2, fresh_tables) >= 0.8


@pytest.mark.slow
def test_what_is_done_first_stays_acceptable_over_many_draws(
    cases: list[Any], fresh_tables: Callable[[], None]
) -> None:
    assert accepted(cases, 20, fresh_tables) >= SAME


@pytest.mark.slow
def test_the_first_step_holds_if_constants_are_known_to_a_fifth(
    cases: list[Any], fresh_tables: Callable[[], None]
) -> None:
    # Measured 91 %.
    assert held(cases, 20, fresh_tables, within_a_fifth) >= SAME


@pytest.mark.slow
def test_the_first_step_holds(cases: list[Any], fresh_tables: Callable[[], None]) -> None:
    # Measured 90.8 % on these draws.
    assert held(cases, 20, fresh_tables, loose) >= SAME
