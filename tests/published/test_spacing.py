"""Cog spacing and the shift equation against spacing tables and printed pulls and ratios.

Published pulls and ratios are rounded to 0.1: their product misses a matched system's pitch by up to 0.13.
"""

from functools import partial
from itertools import pairwise

import pytest
from published import Published, against_print

from tunekit.bike import Bike
from tunekit.fit import check_fit
from tunekit.mechanics import chainline, wear

CRIB = "crib sheet of frame and cog spacing"
NINE_OVER_EIGHT = "blog on nine-over-eight gearing (2017)"
CHAINLINE = "blog on chainline (2012)"
GLOSSARY = "Japanese bicycle glossary, shift ratio"
TEN_ELEVEN = "article on 10 and 11 speed (2023)"
WIKIBOOK = "Wikibooks, Gear-changing Dimensions (from memory)"
WIDTHS = "widths and pitches from the spacing and chain tables; nobody printed the gap"

# Cogs, pitch, cog thickness, printed stack width, source.
STACKS = (
    (5, 5.5, 2.0, 24.0, 1e-9, CRIB),
    (5, 5.35, 1.85, 23.2, 0.06, CRIB),
    (6, 5.5, 2.0, 29.5, 1e-9, NINE_OVER_EIGHT),
    (8, 4.8, 1.8, 35.4, 1e-9, NINE_OVER_EIGHT),
    (9, 4.34, 1.78, 36.5, 1e-9, NINE_OVER_EIGHT),
    (10, 3.95, 1.6, 37.2, 0.06, CHAINLINE),
)
# Name, speeds, pull, ratio, pitch, thickness, status, source: systems that were sold as matched.
MATCHED = (
    ("A", 8, 2.8, 1.7, 4.80, 1.80, "seen+recalc", GLOSSARY),
    ("A", 9, 2.5, 1.7, 4.34, 1.78, "memory", WIKIBOOK),
    ("A", 10, 2.3, 1.7, 3.95, 1.60, "mixed", TEN_ELEVEN),
    ("A", 7, 2.9, 1.7, 5.00, 1.85, "memory", WIKIBOOK),
    ("A", 6, 3.2, 1.7, 5.50, 2.00, "memory", WIKIBOOK),
    ("D", 10, 3.4, 1.2, 3.95, 1.60, "mixed", TEN_ELEVEN),
    ("E", 11, 2.7, 1.4, 3.78, 1.60, "mixed", TEN_ELEVEN),
    ("F", 11, 3.6, 1.1, 3.90, 1.60, "mixed", TEN_ELEVEN),
    ("B", 8, 4.3, 1.1, 4.80, 1.80, "memory", WIKIBOOK),
    ("B", 9, 4.0, 1.1, 4.34, 1.78, "memory", WIKIBOOK),
    ("C", 10, 3.1, 1.3, 3.95, 1.60, "memory", WIKIBOOK),
)
# Speeds, pitch, thickness, gap worked out by hand.
GAPS = ((8, 4.80, 1.80, 0.35), (9, 4.34, 1.78, 0.15), (10, 3.95, 1.60, 0.20), (11, 3.78, 1.60, 0.23))

# The room's own reading of the shift equation, with the widths of a chain of each class.
COGS = {count: tuple(range(11, 11 + count)) for count in range(5, 13)}


def bike(speeds: int, pull: float, ratio: float, pitch: float, cog: float) -> Bike:
    """A single-ring bike with these figures, so that only the shifting is in question."""
    return Bike.build(
        rings=[40],
        cogs=COGS[speeds],
        rear={"lever_pull_mm": pull, "cable_ratio": ratio},
        cassette={"pitch_mm": pitch, "cog_mm": cog},
        chain={"speeds": speeds},
    )


def miss(speeds: int, pull: float, ratio: float, pitch: float, cog: float) -> float:
    """What check_fit finds a click to miss the pitch by [mm]."""
    return float(check_fit(bike(speeds, pull, ratio, pitch, cog))["pull_per_click"].value or 0.0)


ROWS = (
    *(
        Published(
            quantity=f"stack width, {cogs} cogs, pitch {pitch}, cog {cog}",
            ours=partial(chainline.stack_width_mm, cogs, pitch, cog),
            published=width,
            tol=tol,
            source=source,
            status="seen+recalc",
            unit="mm",
        )
        for cogs, pitch, cog, width, tol, source in STACKS
    ),
    *(
        Published(
            quantity=f"pull {pull} × ratio {ratio} less pitch {pitch}, family {family}, {speeds} speed",
            ours=partial(miss, speeds, pull, ratio, pitch, cog),
            published=0.0,
            tol=0.13,
            source=source,
            status=status,
            unit="mm",
        )
        for family, speeds, pull, ratio, pitch, cog, status, source in MATCHED
    ),
    *(
        Published(
            quantity=f"side gap of a centred chain, {speeds} speed",
            ours=partial(wear.side_gap_mm, pitch, cog, speeds),
            published=gap,
            tol=0.006,
            source=WIDTHS,
            status="calc",
            unit="mm",
        )
        for speeds, pitch, cog, gap in GAPS
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()


@pytest.mark.parametrize("row", MATCHED, ids=lambda row: f"{row[0]}-{row[1]}")
def test_no_system_sold_as_matched_fails(row: tuple) -> None:
    _, speeds, pull, ratio, pitch, cog, _, _ = row
    report = check_fit(bike(speeds, pull, ratio, pitch, cog))
    assert report["pull_per_click"].status == "pass"
    assert report["pull_accumulated"].status != "fail"


def test_chains_grow_narrower_with_each_cog() -> None:
    """Ordering only: the sources of the table spread by 0.1 to 0.4 mm."""
    widths = [wear.outer_width_mm(speeds) for speeds in (6, 7, 8, 9, 10, 11, 12, 13)]
    assert all(narrower < wider for wider, narrower in pairwise(widths))
    printed = (7.8, 7.3, 7.1, 6.6, 5.9, 5.5, 5.25, 4.9)
    assert widths == pytest.approx(printed, abs=0.3)
