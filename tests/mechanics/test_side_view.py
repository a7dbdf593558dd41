"""Cage angles, flags and windows, for every gear at once."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tunekit.bike import TunekitError
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.mechanics import side_view as module
from tunekit.mechanics.capacity import total_capacity
from tunekit.mechanics.chain_length import largest_pair_links
from tunekit.mechanics.from_bike import side_view, travel_mm
from tunekit.mechanics.geometry import pivots_mm, tip_radius_mm, wheels
from tunekit.mechanics.loop import TURN, picked, taut_loop
from tunekit.mechanics.outline import outline
from tunekit.mechanics.side_view import (
    SideView,
    links_window,
    rated_capacity,
    solve_paths,
    swing_band,
    with_gap_set,
)

ROAD = SideView(
    rings=(34, 50),
    cogs=(11, 12, 13, 14, 15, 17, 19, 21, 23, 25, 28),
    chainstay_mm=410,
    bb_drop_mm=70,
    cage_mm=56,
)
TRIPLE = SideView(rings=(22, 32, 44), cogs=(11, 15, 20, 26, 34), chainstay_mm=430, bb_drop_mm=35, cage_mm=95)


@st.composite
def views(draw: st.DrawFn) -> SideView:
    rings = draw(st.lists(st.integers(22, 54), min_size=1, max_size=3, unique=True).map(sorted))
    cogs = draw(st.lists(st.integers(9, 52), min_size=2, max_size=8, unique=True).map(sorted))
    return SideView(
        rings=tuple(rings),
        cogs=tuple(cogs),
        chainstay_mm=draw(st.floats(400, 470)),
        bb_drop_mm=draw(st.floats(-60, 85)),
        cage_mm=draw(st.floats(52, 105)),
        pulley_gap_mm=draw(st.floats(4, 16)),
        pivot_mm=draw(st.floats(0, 12)),
    )


@given(view=views())
@settings(max_examples=60)
def test_a_solved_cage_angle_gives_back_the_chain_to_1e_8_links(view: SideView) -> None:
    band = swing_band(view, (0, 9))
    lengths = np.arange(np.ceil(band.shortest_links.min()), np.floor(band.slack_links.max()) + 1)
    paths = solve_paths(view, lengths, (0, 9))
    every = wheels(view, (0, 9))
    spread = picked(every, np.index_exp[:, :, :, None])
    loop = taut_loop(spread, np.radians(paths.cage_deg))
    taut = ~(paths.stretched | paths.slack)
    assert np.abs(loop.links - lengths)[taut].max(initial=0) < 1e-8


@given(view=views())
@settings(max_examples=40)
def test_everything_solved_is_a_number(view: SideView) -> None:
    band = swing_band(view, (0, 15))
    lengths = np.arange(np.ceil(band.shortest_links.min()), np.ceil(band.slack_links.max()) + 4)
    paths = solve_paths(view, lengths, (0, 15))
    for name in ("cage_deg", "pulley_gap_mm", "cog_teeth", "ring_teeth", "free_mm", "shorten_links"):
        assert np.isfinite(getattr(paths, name)).all()


@given(view=views())
@settings(max_examples=40)
def test_a_longer_chain_swings_the_cage_back_and_a_longer_chainstay_forward(view: SideView) -> None:
    band = swing_band(view, (0, 8))
    lengths = np.arange(np.ceil(band.shortest_links.max()), np.floor(band.longest_links.min()) + 1)
    if len(lengths) > 1:
        cage = solve_paths(view, lengths, (0, 8)).cage_deg
        assert (np.diff(cage, axis=-1) < 0).all()
        assert (np.diff(cage, axis=0) > 0).all()


@given(view=views())
@settings(max_examples=40)
def test_flags_say_what_the_geometry_shows(view: SideView) -> None:
    """Stretched: too few teeth on the guide pulley; touching: the fold is lower than a chain's plates."""
    band, limits = swing_band(view), table("geometry")["side_view"]
    lengths = np.arange(np.ceil(band.shortest_links.min()), np.floor(band.slack_links.max()) + 1)
    paths = solve_paths(view, lengths)
    spread = picked(wheels(view), np.index_exp[:, :, :, None])
    loop = taut_loop(spread, np.radians(paths.cage_deg))
    inside = ~(paths.stretched | paths.slack)
    fold = np.broadcast_to(loop.fold_mm, inside.shape)
    assert (fold[inside & paths.touching] < limits["touch_mm"]["value"] + 1e-6).all()
    # Forward of straight down the lower run ends before it reaches the guide pulley.
    behind = inside & (paths.cage_deg < 0)
    assert (fold[behind & ~paths.touching] > limits["touch_mm"]["value"] - 1e-6).all()
    assert (paths.guide_teeth[inside] > limits["guide_teeth_min"]["value"] - 1e-6).all()


@pytest.mark.parametrize("view", [ROAD, TRIPLE])
def test_a_gear_at_the_edge_of_the_window_is_one_link_from_its_flag(view: SideView) -> None:
    window = links_window(view)
    ring, cog = (window.lowest_gear[0], window.lowest_gear[1])
    low = view.rings.index(ring), view.cogs.index(cog)
    high = view.rings.index(window.highest_gear[0]), view.cogs.index(window.highest_gear[1])
    fewest, most = int(np.ceil(window.lowest_links)), int(np.floor(window.highest_links))
    paths = solve_paths(view, [fewest - 1, fewest, most, most + 1])
    assert paths.stretched[(0, *low)].tolist()[:2] == [True, False]
    assert paths.touching[(0, *high)].tolist()[2:] == [False, True]
    assert paths.works[0, :, :, 1].all()
    assert paths.works[0, :, :, 2].all()
    assert paths.shorten_links[(0, *low, 1)] < 1
    assert paths.lengthen_links[(0, *high, 2)] < 1


@pytest.mark.parametrize("name", starter_names())
def test_the_largest_pair_and_two_lies_in_the_window_of_every_starter(name: str) -> None:
    """The common rule of chain length (question-and-answer and forum posts; seen) against the geometry."""
    bike = starter(name)
    assert total_capacity(bike.rings, bike.cogs) <= bike.rear.capacity
    growth = travel_mm(bike)
    window = links_window(side_view(bike), growth)
    rule = largest_pair_links(bike.frame.chainstay_mm, bike.rings[-1], bike.cogs[-1], growth.max())
    assert int(rule) in window.links
    assert window.failing == ()


def test_window_is_what_the_solver_finds_length_by_length() -> None:
    for growth in ((0.0,), (0.0, 6.0, 12.0)):
        paths = solve_paths(TRIPLE, np.arange(102, 130, 2), growth)
        works = paths.works.all(axis=(0, 1, 2))
        assert tuple(paths.links[works]) == links_window(TRIPLE, growth).links


def test_leaving_a_gear_out_widens_the_window_at_its_end() -> None:
    every, without = links_window(ROAD), links_window(ROAD, except_gears={(34, 11), (34, 12)})
    assert every.highest_gear == (34, 11)
    assert without.highest_gear == (34, 13)
    assert without.highest_links > every.highest_links
    assert without.lowest_links == every.lowest_links


def test_over_capacity_names_the_gears_that_hang_and_never_stretches() -> None:
    wide = SideView(rings=(30, 50), cogs=(11, 15, 21, 34), chainstay_mm=410, bb_drop_mm=70, cage_mm=56)
    window = links_window(wide)
    assert window.links == ()
    paths = solve_paths(wide, window.best)
    assert not paths.stretched.any()
    flagged = {
        (wide.rings[r], wide.cogs[c]) for r, c in zip(*np.nonzero(paths.touching[0, :, :, 0]), strict=True)
    }
    assert set(window.failing) == flagged
    assert (30, 11) in flagged


def test_chunks_do_not_change_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    lengths = np.arange(104, 120)
    whole = solve_paths(TRIPLE, lengths, (0, 5, 10))
    monkeypatch.setattr(module, "CHUNK_CELLS", 7)
    cut = solve_paths(TRIPLE, lengths, (0, 5, 10))
    for name in ("cage_deg", "pulley_gap_mm", "cog_teeth", "ring_teeth", "guide_teeth", "free_mm"):
        assert np.array_equal(getattr(whole, name), getattr(cut, name))


def test_a_longer_cage_can_take_up_more() -> None:
    rated = [rated_capacity(SideView(**_road(cage))) for cage in range(52, 104, 4)]
    assert (np.diff(rated) > 0).all()


def _road(cage_mm: float) -> dict[str, object]:
    return {
        "rings": (34, 50), "cogs": (11, 28), "chainstay_mm": 410, "bb_drop_mm": 70, "cage_mm": cage_mm,
    }  # fmt: skip


def test_pulley_gap_on_the_largest_cog_is_the_one_set() -> None:
    view = with_gap_set(ROAD, 106)
    paths = solve_paths(view, 106)
    assert paths.pulley_gap_mm[0, 0, -1, 0] == pytest.approx(view.pulley_gap_mm, abs=1e-3)
    assert (np.diff(paths.pulley_gap_mm[0, 0, :, 0]) < 0).all()


def test_pulley_gap_is_the_distance_between_tips_in_the_picture() -> None:
    drawn = outline(ROAD, 34, 28, 106)
    guide = next(circle for circle in drawn.circles if circle.name == "guide_pulley")
    apart = np.hypot(guide.x_mm, guide.y_mm) - tip_radius_mm(28) - tip_radius_mm(11)
    assert solve_paths(ROAD, 106).pulley_gap_mm[0, 0, -1, 0] == pytest.approx(float(apart))


def test_teeth_wrapped_are_those_of_the_picture() -> None:
    loop = taut_loop(picked(wheels(ROAD), (0, 1, 4)), np.radians(solve_paths(ROAD, 106).cage_deg[0, 1, 4, 0]))
    paths = solve_paths(ROAD, 106)
    assert paths.cog_teeth[0, 1, 4, 0] == pytest.approx(15 * float(loop.cog) / TURN)
    assert paths.ring_teeth[0, 1, 4, 0] == pytest.approx(50 * float(loop.ring) / TURN)


def test_the_body_hangs_from_the_hanger() -> None:
    x, y = pivots_mm(ROAD)
    assert np.hypot(x[-1] + ROAD.hanger_back_mm, y[-1] + ROAD.hanger_down_mm) == pytest.approx(
        module.body_reach_mm(ROAD)
    )


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        (
            {"cage_mm": 40},
            "cage_mm must be at least 49.4, or pulleys of 11 and 11 teeth would touch (got 40)",
        ),
        ({"pulley_gap_mm": 70}, "pulley_gap_mm must be less than the cage, 56 (got 70)"),
        ({"pulley_gap_mm": float("nan")}, "pulley_gap_mm must be"),
        ({"chainstay_mm": float("nan")}, "chainstay_mm must be a number"),
        ({"chainstay_mm": 210, "rings": (72,)}, "chainstay_mm is too short for a ring of 72 teeth"),
        ({"body_mm": 40}, "pulley_gap_mm cannot be 6 on a cog of 28 teeth with a body of 40.0 mm"),
        ({"guide_teeth": 3}, "guide_teeth must be from 8 to 20 (got 3); the nearest possible is 8."),
    ],
)
def test_impossible_geometry_says_why_and_what_is_nearest(changes: dict[str, float], text: str) -> None:
    fields = _road(56) | changes
    with pytest.raises(TunekitError) as raised:
        SideView(**fields)  # type: ignore[arg-type]
    assert text in str(raised.value)
    assert "nan" not in str(raised.value).lower().replace("(got nan)", "")
    assert "\n" not in str(raised.value)


def test_nearest_possible_values_are_possible() -> None:
    SideView(**(_road(56) | {"cage_mm": 49.4, "pivot_mm": 0}))  # type: ignore[arg-type]
    with pytest.raises(TunekitError, match="the nearest possible is about") as raised:
        SideView(**(_road(56) | {"chainstay_mm": 210, "rings": (72,)}))  # type: ignore[arg-type]
    nearest = float(str(raised.value).split()[-1].rstrip("."))
    SideView(**(_road(56) | {"chainstay_mm": nearest, "rings": (72,)}))  # type: ignore[arg-type]


def test_a_chain_shorter_than_the_belt_names_the_shortest_possible() -> None:
    with pytest.raises(TunekitError, match="links must be at least 89") as raised:
        solve_paths(ROAD, [80, 106])
    assert "(got 80)" in str(raised.value)
    assert solve_paths(ROAD, 89).works.any()


@pytest.mark.parametrize("links", [106.5, float("nan"), 5000])
def test_a_length_that_is_no_chain_is_refused(links: float) -> None:
    with pytest.raises(TunekitError, match="links"):
        solve_paths(ROAD, links)


def test_naming_a_gear_the_bike_does_not_have_is_refused() -> None:
    with pytest.raises(TunekitError, match="except_gears must name gears of this bike"):
        links_window(ROAD, except_gears={(34, 99)})
    with pytest.raises(TunekitError, match="at least one gear"):
        links_window(ROAD, except_gears={(ring, cog) for ring in ROAD.rings for cog in ROAD.cogs})


def test_a_cage_too_long_to_swing_names_one_that_is_not() -> None:
    fields: dict[str, Any] = {
        "rings": (24, 46),
        "cogs": (30, 53),
        "chainstay_mm": 260,
        "bb_drop_mm": -26,
        "guide_teeth": 8,
        "tension_teeth": 16,
        "pulley_gap_mm": 25.9,
    }
    with pytest.raises(TunekitError, match="cage_mm is too long to swing clear") as raised:
        swing_band(SideView(**fields, cage_mm=146))
    nearest = float(str(raised.value).split()[-1].rstrip("."))
    assert nearest < 146
    swing_band(SideView(**fields, cage_mm=nearest))


@pytest.mark.parametrize(
    ("rings", "chainstay_mm", "bb_drop_mm", "cage_mm"),
    [((45, 51), 409, 67, 97), ((53,), 411, 83, 95), ((30, 54), 417, 64, 103)],
)
def test_a_loop_that_grows_again_past_the_usable_swing_is_solved_within_it(
    rings: tuple[int, ...], chainstay_mm: float, bb_drop_mm: float, cage_mm: float
) -> None:
    """Counting table cells over the whole swing missed these by 0.002 to 0.012 links."""
    view = SideView(
        rings=rings,
        cogs=(9, 10),
        chainstay_mm=chainstay_mm,
        bb_drop_mm=bb_drop_mm,
        cage_mm=cage_mm,
        pulley_gap_mm=4,
        pivot_mm=0,
    )
    band = swing_band(view)
    lengths = np.arange(np.ceil(band.shortest_links.min()), np.floor(band.slack_links.max()) + 1)
    paths = solve_paths(view, lengths)
    loop = taut_loop(picked(wheels(view), np.index_exp[:, :, :, None]), np.radians(paths.cage_deg))
    taut = ~(paths.stretched | paths.slack)
    assert np.abs(loop.links - lengths)[taut].max() < 1e-8
