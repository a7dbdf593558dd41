"""No valid input kills a page: what a room says of this bike is shown in place."""

import pytest

from tunekit import Session
from tunekit.bike import Bike
from tunekit.session.store import Store

# Inside the bounds of every field, and not to be drawn: the ring is larger than the cage leaves room for.
ODD = Bike.build(
    rings=(30, 80),
    cogs=(11, 15),
    frame={"chainstay_mm": 200.0},
    front={"actuation": "cable"},
    chain={"speeds": 2},
)


@pytest.mark.parametrize(
    "page", ["fit", "chain", "gears", "setup_walk", "log", "advice", "sheet", "bike", "wires"]
)
def test_a_bike_of_odd_figures_leaves_every_page_standing(app, page):
    store = Store()
    store.create(Session(title="odd", bike=ODD))
    app.run()
    app.tap("main_continue")
    app.turn_to(page)
    assert app.at.title or app.at.header or app.at.error[0].value.endswith(".")
    assert not [box for box in app.at.error if "Traceback" in box.value]
