"""Any number at all into any formula: a finite answer, or one sentence that names the field; never NaN."""

from collections.abc import Callable
from inspect import signature

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tunekit.bike import TunekitError
from tunekit.mechanics import (
    chain_length,
    chainline,
    front,
    gears,
    hanger,
    losses,
    sprocket,
    top_view,
    turns,
    tyres,
    wear,
)

FORMULAS: dict[str, Callable[..., object]] = {
    f"{function.__module__.split('.')[-1]}.{function.__name__}": function
    for function in (
        *(chain_length.simple_links, chain_length.second_order_links, chain_length.engineering_links),
        *(chain_length.engineering_centre_mm, chain_length.belt_links, chain_length.circle_belt_links),
        *(chain_length.largest_pair_links, sprocket.tip_diameter_mm, sprocket.root_diameter_mm),
        *(gears.gain_ratio, gears.speed_kmh, tyres.formula_mm, chainline.chain_angle_deg),
        *(chainline.chainline_from_tube_mm, chainline.chainline_from_locknut_mm, wear.wear_pct, wear.span_mm),
        *(hanger.rim_readings_mm, turns.rim_mm, turns.tilt_deg, losses.tension_n),
    )
} | {
    "chainline.cog_lines_mm": lambda hub, gap, cog, pitch: chainline.cog_lines_mm(hub, gap, cog, pitch, cogs=9),
    "chainline.ring_lines_mm": lambda line, gap: chainline.ring_lines_mm(line, gap, rings=2),
    "chainline.stack_width_mm": lambda pitch, cog: chainline.stack_width_mm(9, pitch, cog),
    "wear.side_gap_mm": lambda pitch, cog: wear.side_gap_mm(pitch, cog, speeds=10),
    "top_view.offsets_mm": lambda move, pitch, index, shift, drag, high, low: top_view.offsets_mm(
        [move] * 4, pitch, index_mm=index, shift_mm=shift, drag_mm=drag, high_limit_mm=high, low_limit_mm=low
    ),
    "front.chain_lines_mm": lambda ring, cog, run, behind: front.chain_lines_mm([ring], [cog], run, [behind]),
}  # fmt: skip


@pytest.mark.parametrize("name", FORMULAS)
@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_a_finite_answer_or_one_sentence(name: str, data: st.DataObject) -> None:
    numbers = st.one_of(st.floats(), st.floats(0, 60), st.floats(-10, 500))
    given_numbers = [data.draw(numbers, label=field) for field in signature(FORMULAS[name]).parameters]
    assert _outcome(FORMULAS[name], given_numbers) in {"finite", "sentence"}


def _outcome(formula: Callable[..., object], numbers: list[float]) -> str:
    try:
        answer = np.asarray(formula(*numbers), float)
    except TunekitError as error:
        return "sentence" if str(error).count(". ") == 0 and str(error).endswith(".") else str(error)
    return "finite" if np.isfinite(answer).all() else str(answer)


def test_text_is_answered_with_the_field() -> None:
    with pytest.raises(TunekitError, match=r"^ring must be a number \(got fifty\); enter digits only\.$"):
        gears.ratio("fifty", 11)
