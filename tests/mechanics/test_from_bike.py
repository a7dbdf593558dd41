"""From a bike as a session holds it to its views."""

import numpy as np
import pytest
from any_bike import valid_bikes
from hypothesis import given, settings

from tunekit.bike import Bike, TunekitError
from tunekit.bike.starters import starter, starter_names
from tunekit.mechanics.from_bike import chain_width_mm, clicks_mm, side_view, top_runs_mm, top_view, travel_mm
from tunekit.mechanics.geometry import body_reach_mm, possible_gaps_mm
from tunekit.mechanics.outline import outline
from tunekit.mechanics.side_view import links_window, solve_paths


@pytest.mark.parametrize("name", starter_names())
def test_every_starter_has_a_path_in_every_gear(name: str) -> None:
    bike = starter(name)
    view = side_view(bike)
    best = links_window(view, travel_mm(bike)).best
    assert solve_paths(view, best, travel_mm(bike)).works.all()
    assert outline(view, bike.rings[0], bike.cogs[0], best).flag == "works"
    assert 4.5 < chain_width_mm(bike) < 9


def test_a_fitted_chain_sets_the_gap_it_is_set_with() -> None:
    fields = starter("road-double-11").model_dump()
    bike = Bike.build(**(fields | {"chain": {"speeds": 11, "links": 106}}))
    assert solve_paths(side_view(bike), 106).pulley_gap_mm[0, 0, -1, 0] == pytest.approx(6.0, abs=1e-3)


@pytest.mark.parametrize("links", [40, 96, 300])
def test_a_chain_of_the_wrong_length_does_not_hide_the_right_one(links: int) -> None:
    fields = starter("road-double-11").model_dump()
    bike = Bike.build(**(fields | {"chain": {"speeds": 11, "links": links}}))
    assert links_window(side_view(bike)).best == 106


def test_a_cassette_past_the_leaflet_still_gets_its_chain_length() -> None:
    fields = starter("road-double-11").model_dump()
    bike = Bike.build(**(fields | {"cogs": (11, 13, 15, 17, 19, 21, 24, 28, 32, 36, 42)}))
    window = links_window(side_view(bike))
    assert window.lowest_gear == (50, 42)
    assert window.failing


def test_a_bike_with_one_ring_and_one_cog_has_views_too() -> None:
    bike = Bike.build(rings=(42,), cogs=(16,), chain={"speeds": 1, "links": None})
    assert links_window(side_view(bike)).links
    view = top_view(bike, index_mm=0.4)
    assert view.offset_mm == pytest.approx(np.full((2, 1), 0.4))
    assert top_runs_mm(bike).shape == (1, 1)


def test_an_electronic_derailleur_moves_by_the_cogs_own_spacing() -> None:
    bike = starter("road-electronic")
    assert clicks_mm(bike) == pytest.approx(np.full(len(bike.cogs) - 1, bike.cassette.pitch_mm))


def test_travel_ends_at_the_longest_chainstay() -> None:
    assert travel_mm(starter("trail-single-12")) == pytest.approx([0, 3, 6, 9, 12])
    assert travel_mm(starter("city-8")) == pytest.approx([0])


@given(bike=valid_bikes())
@settings(max_examples=150)
def test_any_bike_gets_finite_paths_or_one_sentence(bike: Bike) -> None:
    said = ""
    try:
        view = side_view(bike)
        window = links_window(view, travel_mm(bike))
    except TunekitError as refused:
        said = str(refused)
    if said:
        assert "nearest possible" in said or "measure" in said
        assert "\n" not in said
        return
    paths = solve_paths(view, window.best, travel_mm(bike))
    for name in ("cage_deg", "shorten_links", "lengthen_links", "pulley_gap_mm", "cog_teeth", "free_mm"):
        assert np.isfinite(getattr(paths, name)).all()
    assert not paths.stretched.any()


def test_a_body_made_for_a_dinner_plate_stays_as_close_as_it_can_to_a_small_cassette() -> None:
    fields = starter("trail-single-12").model_dump()
    bike = Bike.build(**(fields | {"cogs": (11, 13, 15, 18, 21, 24, 28)}))
    view = side_view(bike)
    assert view.pulley_gap_mm > bike.rear.pulley_gap_mm
    low, _ = possible_gaps_mm(view, 28, body_reach_mm(view))
    assert view.pulley_gap_mm == pytest.approx(low)
    assert links_window(view).links


@pytest.mark.parametrize("name", ["trail-single-12", "gravel-single"])
def test_the_gap_on_the_small_cogs_of_a_wide_single_is_what_such_bodies_keep(name: str) -> None:
    # From memory: 15 to 25 mm on the small cogs; a body that follows three quarters of the cone left 43 on 10-51.
    bike = starter(name)
    paths = solve_paths(side_view(bike), links_window(side_view(bike)).best)
    assert 12 < paths.pulley_gap_mm[0, 0, 0, 0] < 26
