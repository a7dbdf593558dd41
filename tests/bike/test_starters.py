"""Starter bikes: complete, consistent, and honest about where each figure comes from."""

import pytest

from tunekit.bike import SessionError, starter, starter_names, starter_rows, starter_title
from tunekit.fit import check_fit, size_chain
from tunekit.mechanics.chain_length import largest_pair_links

STATUSES = {"typical", "common practice", "published", "worked out"}
CLASSES = {
    "road-double-10",
    "road-double-11",
    "road-double-12",
    "road-electronic",
    "time-trial-electronic",
    "gravel-single",
    "trail-single-12",
    "touring-triple-9",
    "city-8",
    "folding-single",
}


def test_every_class_has_a_starter() -> None:
    assert set(starter_names()) == CLASSES


@pytest.mark.parametrize("name", starter_names())
def test_every_figure_has_a_status_and_every_published_one_a_source(name: str) -> None:
    for row in starter_rows(name):
        assert row.status in STATUSES
        assert bool(row.source) == (row.status in ("published", "worked out")), row.field
    assert starter_title(name)


@pytest.mark.parametrize("name", starter_names())
def test_the_bike_holds_what_the_table_says(name: str) -> None:
    bike = starter(name)
    for row in starter_rows(name):
        part, _, key = row.field.partition(".")
        held = getattr(bike, part)
        assert (getattr(held, key) if key else held) == row.value


@pytest.mark.parametrize("name", starter_names())
def test_nothing_fails_on_a_starter(name: str) -> None:
    report = check_fit(starter(name))
    assert [f.name for f in report.findings if f.status == "fail"] == []


@pytest.mark.parametrize("name", starter_names())
def test_the_largest_pair_plus_two_lies_in_the_window(name: str) -> None:
    bike = starter(name)
    advice = size_chain(bike)
    frame = bike.frame
    two_more = largest_pair_links(
        frame.chainstay_mm, bike.rings[-1], bike.cogs[-1], frame.chainstay_growth_mm
    )
    assert advice.basis == "geometry"
    assert advice.shortest <= two_more <= advice.longest


@pytest.mark.parametrize("name", [n for n in starter_names() if "electronic" in n])
def test_electronic_starters_have_steps_and_no_cable(name: str) -> None:
    rear = starter(name).rear
    assert (rear.cable_ratio, rear.lever_pull_mm) == (None, None)
    assert rear.step_mm


def test_an_unknown_starter_is_answered_with_the_choices() -> None:
    with pytest.raises(SessionError) as caught:
        starter("penny-farthing")
    sentence = str(caught.value)
    assert sentence.startswith("starter must be road-double-10, ")
    assert sentence.endswith("or folding-single (got penny-farthing); choose one of these.")


@pytest.mark.parametrize("name", starter_names())
def test_no_figure_of_the_bike_is_without_a_row(name: str) -> None:
    rows = {row.field: row.value for row in starter_rows(name)}
    assert len(rows) == len(starter_rows(name))
    for part, held in starter(name).model_dump().items():
        for key, value in held.items() if isinstance(held, dict) else ():
            assert value is None or rows[f"{part}.{key}"] == value
