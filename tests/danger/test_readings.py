"""The worse a reading, the more it is believed: over every gauge, every starter and random bikes.

Common practice, no source: a gauge that reads far past a limit shows the fault it is for.
"""

import itertools
from collections.abc import Iterator

import numpy as np
import pytest
import world

from tunekit import Session
from tunekit.bike import Bike
from tunekit.bike.starters import starter, starter_names
from tunekit.diagnosis import Advice, advise
from tunekit.session import make_entry
from tunekit.session.plausible import bounds

pytestmark = pytest.mark.danger
FIXES = {
    "low_limit_loose": {"low_limit", "low_limit_offset_mm"},
    "high_limit_loose": {"high_limit"},
    "low_limit_tight": {"low_limit", "checked_low_stop"},
    "high_limit_tight": {"high_limit"},
    "chain_worn": {"chain"},
    "hanger_bent_inboard": {"hanger"},
    "hanger_bent_outboard": {"hanger"},
    "pulley_gap_large": {"b_screw"},
    "front_low": {"front_height_mm"},
    "front_high": {"front_height_mm"},
    "front_inner_limit_loose": {"front_low_limit"},
    "front_outer_limit_loose": {"front_high_limit"},
    "front_rotated": {"front_angle_deg"},
    "guide_pulley_worn": {"guide_pulley"},
    "battery_low": {"battery"},
    "chain_short": {"chain"},
    "chain_long": {"chain"},
}
"""What puts each cause right, in the log's words."""


FAR = (
    "low_limit_offset_mm", "high_limit_offset_mm", "chain_wear_pct", "pulley_gap_mm", "pulley_play_mm",
    "front_height_mm", "front_inner_gap_mm", "front_outer_gap_mm", "front_angle_deg", "battery_pct",
)  # fmt: skip


def gauges(bike: Bike) -> Iterator[tuple[str, tuple[str, ...], list[object]]]:
    """Word, causes and readings from past the limit to the far end of what a hand reads, worse and worse."""
    far = {what: (limits.least, limits.most) for what in FAR if (limits := bounds(bike, "measured", what))}
    gap = bike.rear.pulley_gap_mm

    def up(what: str, first: float) -> list[object]:
        return [round(float(x), 2) for x in np.linspace(first, far[what][1], 4)]

    def down(what: str, first: float) -> list[object]:
        return [round(float(x), 2) for x in np.linspace(first, far[what][0], 4)]

    yield "low_limit_offset_mm", ("low_limit_loose",), up("low_limit_offset_mm", 2.5)
    yield "high_limit_offset_mm", ("high_limit_loose",), up("high_limit_offset_mm", 2.5)
    yield "chain_wear_pct", ("chain_worn",), up("chain_wear_pct", 1.2)
    yield "pulley_gap_mm", ("pulley_gap_large",), up("pulley_gap_mm", gap + 11)
    yield "pulley_play_mm", ("guide_pulley_worn",), up("pulley_play_mm", 2.8)
    lean = [8.0, 16.0, 30.0, 60.0]
    yield "hanger_rim_mm", ("hanger_bent_inboard",), [(60 + x / 2, 60.0, 60 - x / 2, 60.0) for x in lean]
    yield "hanger_rim_mm", ("hanger_bent_outboard",), [(60 - x / 2, 60.0, 60 + x / 2, 60.0) for x in lean]
    if bike.front is not None and len(bike.rings) > 1:
        yield "front_height_mm", ("front_low",), down("front_height_mm", -0.8)
        yield "front_height_mm", ("front_high",), up("front_height_mm", 6.0)
        yield "front_inner_gap_mm", ("front_inner_limit_loose",), up("front_inner_gap_mm", 3.0)
        yield "front_outer_gap_mm", ("front_outer_limit_loose",), up("front_outer_gap_mm", 3.0)
        yield "front_angle_deg", ("front_rotated",), up("front_angle_deg", 5.0)
    if bike.rear.actuation == "electronic":
        yield "battery_pct", ("battery_low", "battery_failed"), down("battery_pct", 5.0)


def answer(bike: Bike, what: str, value: object) -> Advice:
    return advise(Session(bike=bike, log=(make_entry("measured", what=what, value=value),)))


def chance(advice: Advice, causes: tuple[str, ...]) -> float:
    return sum(cause.probability for cause in advice.causes if cause.name in causes)


def failings(bike: Bike) -> list[str]:
    out = []
    for what, causes, values in gauges(bike):
        found = [answer(bike, what, value) for value in values]
        said = [chance(advice, causes) for advice in found]
        if any(later < earlier - 0.01 for earlier, later in itertools.pairwise(said)) or said[-1] < 0.6:
            out.append(f"{what} {values}: {causes[0]} {said}")
        right = {word for cause in causes for word in FIXES.get(cause, ())} | {what, "battery"}
        for value, advice in zip(values, found, strict=True):
            stays = [fact.remedy.what for fact in advice.known]
            if advice.next is None or advice.next.what not in right | set(stays):
                out.append(f"{what} {value}: goes to {advice.next and advice.next.what}")
    return out


@pytest.mark.parametrize("name", starter_names())
def test_a_worse_reading_is_never_believed_less(name: str) -> None:
    assert failings(starter(name)) == []


def test_the_same_on_random_bikes() -> None:
    rng = np.random.default_rng(7)
    few = max(world.COUNT // 100, 2)
    assert [found for _ in range(few) for found in failings(world.random_bike(rng))] == []


@pytest.mark.parametrize("links", [100, 98, 96, 90])
def test_a_short_chain_is_believed_the_more_the_shorter_it_is(links: int) -> None:
    bike = starter("road-double-11")
    bike = bike.model_copy(update={"chain": bike.chain.model_copy(update={"links": 106})})
    found = answer(bike, "chain_length_links", links)
    assert chance(found, ("chain_short",)) > 0.6
    assert found.next is not None
    assert found.next.what == "chain"


@pytest.mark.parametrize(
    "what", ["checked_low_stop", "chain_joined", "chain_routed", "wires_clear", "frame_sound"]
)
def test_a_no_to_a_safety_check_changes_the_next_step(what: str) -> None:
    bike = starter("road-double-11")
    found = answer(bike, what, 0)
    assert [fact.entry for fact in found.known] == [0]
    assert found.next is not None
    assert (found.next.kind, found.next.what) == (found.known[0].remedy.kind, found.known[0].remedy.what)


def test_an_implausible_reading_is_looked_at_again_with_both_readings_and_its_fact_stands() -> None:
    gap = answer(starter("road-double-11"), "pulley_gap_mm", 60)
    assert gap.next is not None
    assert "did you mean 6 mm, or really 60 mm?" in gap.next.why
    found = answer(starter("road-double-11"), "low_limit_offset_mm", 60)
    assert found.next is not None
    assert (found.next.kind, found.next.what) == ("measured", "low_limit_offset_mm")
    assert "or really 60 mm?" in found.next.why
    assert [fact.name for fact in found.known] == ["low_stop_past"]


def test_a_figure_that_was_meant_otherwise_is_set_aside_once_it_is_taken_again() -> None:
    log = tuple(make_entry("measured", what="low_limit_offset_mm", value=value) for value in (60, 0.3))
    found = advise(Session(bike=starter("road-double-11"), log=log))
    assert found.known == ()
    assert [aside.entry for aside in found.set_aside] == [0]
