"""Friction and drag of a cable run."""

from math import exp, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from tunekit.bike import TunekitError
from tunekit.mechanics.cable import Segment, cable_drag, capstan_ratio, typical

segments = st.builds(Segment, length_mm=st.floats(10, 900), bend_deg=st.floats(0, 200), housing=st.booleans())
runs = st.lists(segments, min_size=1, max_size=6)


@given(mu=st.floats(0, 0.5), first=st.floats(0, 400), second=st.floats(0, 400))
def test_bends_one_after_another_multiply(mu: float, first: float, second: float) -> None:
    both = capstan_ratio(mu, first) * capstan_ratio(mu, second)
    assert capstan_ratio(mu, first + second) == pytest.approx(both)


@given(run=runs)
def test_drag_agrees_with_integrating_the_tension_along_the_run(run: list[Segment]) -> None:
    """Independent calculation: stretch by numerical integration, pulling less releasing, halved."""
    mu, (spring, _), (wire, _), (housing, _) = 0.1, *(typical(n) for n in ("spring_n", "wire_n", "housing_n"))
    lag, before = 0.0, 0.0
    for part in run:
        give = 1 / wire + (1 / housing if part.housing else 0)
        bend = radians(part.bend_deg)

        def half(s: float, before: float = before, bend: float = bend, part: Segment = part) -> float:
            theta = before + bend * s / part.length_mm
            return (exp(mu * theta) - exp(-mu * theta)) / 2

        lag += spring * give * quad(half, 0, part.length_mm)[0]
        before += bend
    found = cable_drag(run, cable_ratio=1.7, quiet_mm=0.3, mu=mu)
    assert found.drag_mm == pytest.approx(1.7 * lag, rel=1e-6, abs=1e-12)


@given(run=runs)
def test_the_most_bend_just_reaches_the_quiet_window(run: list[Segment]) -> None:
    found = cable_drag(run, cable_ratio=1.7, quiet_mm=0.3)
    assert found.clean == (found.drag_mm <= 0.3)
    if found.bend_deg > 1 and found.most_bend_deg < 3000:
        share = found.most_bend_deg / found.bend_deg
        bent = [
            Segment(length_mm=s.length_mm, bend_deg=min(s.bend_deg * share, 3600), housing=s.housing)
            for s in run
        ]
        assert cable_drag(bent, cable_ratio=1.7, quiet_mm=0.3).drag_mm == pytest.approx(0.3, rel=1e-4)


def test_a_straight_run_neither_drags_nor_has_a_limit() -> None:
    found = cable_drag([Segment(length_mm=1500)], cable_ratio=1.7, quiet_mm=0.2)
    assert (found.force_ratio, found.drag_mm, found.sd_mm) == (1.0, 0.0, 0.0)
    assert found.most_bend_deg == float("inf")
    assert found.clean


def test_bends_by_the_lever_drag_less_than_the_same_bends_by_the_derailleur() -> None:
    """Only the wire beyond a bend, on the lever's side of it, feels what the bend holds back."""
    bend, straight = Segment(length_mm=300, bend_deg=180), Segment(length_mm=1200, housing=False)
    by_derailleur = cable_drag([bend, straight], cable_ratio=1.7, quiet_mm=0.3)
    by_lever = cable_drag([straight, bend], cable_ratio=1.7, quiet_mm=0.3)
    assert by_lever.drag_mm < by_derailleur.drag_mm
    assert by_lever.force_ratio == by_derailleur.force_ratio


def test_a_dry_cable_spoils_what_a_clean_one_does_not() -> None:
    run = [Segment(length_mm=300, bend_deg=180), Segment(length_mm=900, housing=False),
           Segment(length_mm=450, bend_deg=90)]  # fmt: skip
    assert cable_drag(run, cable_ratio=1.7, quiet_mm=0.3).clean
    assert not cable_drag(run, cable_ratio=1.7, quiet_mm=0.3, mu=typical("mu_dirty")[0]).clean


@pytest.mark.parametrize(
    ("run", "changes", "text"),
    [
        ([], {}, "run must have at least one segment"),
        ([Segment(length_mm=float("nan"))], {}, "length_mm must be a number"),
        ([Segment(length_mm=500, bend_deg=-5)], {}, "bend_deg must be from 0 to 3600 deg (got -5)"),
        ([Segment(length_mm=500)], {"cable_ratio": 0}, "cable_ratio must be from 0.3 to 4 (got 0)"),
        ([Segment(length_mm=500)], {"quiet_mm": 0}, "quiet_mm must be from 0.01 to 5 mm (got 0)"),
        ([Segment(length_mm=500)], {"mu": -1}, "mu must be from 0 to 2 (got -1)"),
    ],
)
def test_bad_input_says_what_is_wrong(run: list[Segment], changes: dict[str, float], text: str) -> None:
    with pytest.raises(TunekitError) as raised:
        cable_drag(run, **({"cable_ratio": 1.7, "quiet_mm": 0.3} | changes))
    assert text in str(raised.value)
