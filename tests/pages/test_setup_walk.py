"""The set-up page: choose, answer, be told, correct, leave open, go back, confirm; the log holds it all."""

from collections.abc import Iterator

import pytest

from tunekit.pages import setup_place
from tunekit.session import Measured, Noted, Turned, make_entry
from tunekit.session.store import Store
from tunekit.setup import setup_steps, walks_for


def texts(block) -> Iterator[str]:
    """What is shown, from top to bottom."""
    for child in block.children.values():
        if hasattr(child, "children"):
            yield from texts(child)
        elif isinstance(getattr(child, "value", None), str):
            yield child.value


@pytest.fixture
def walk(road):
    road.turn_to("setup_walk")
    road.tap("main_rear_cable")
    return road


def see(app, step: str) -> None:
    """Jump to a step by the list of all steps."""
    app.tap(f"step_{step}")


def held(app, step: str) -> None:
    """Jump to a step whose look at the low stop comes out good."""
    see(app, step)
    app.tap("main_first_yes")


def give(app, step: str, *values: float) -> None:
    """Type into the step's field, or the gauge's four, and enter."""
    for field, value in zip(app.at.number_input, values, strict=True):
        field.set_value(value)
    app.tap("main_enter")


def header(app) -> str:
    return app.at.header[0].value


def order(app) -> str:
    """The command on the screen."""
    return next(element.value for element in app.at.markdown if element.value.startswith("**"))


class TestChoice:
    def test_every_walk_of_this_bike_is_offered_and_no_other(self, road):
        road.turn_to("setup_walk")
        offered = {b.key.removeprefix("main_").removeprefix("walk_") for b in road.at.button if b.key}
        assert set(walks_for(road.session.bike)) <= offered
        assert "single_ring" not in offered

    def test_beginning_one_is_in_the_log(self, walk):
        assert [type(entry) for entry in walk.session.log][-1] is Noted
        assert walk.session.log[-1].walk == "rear_cable"
        assert walk.session.log[0].what == "new_derailleur"
        assert header(walk) == "Wheel seated"

    def test_another_walk_and_back_keeps_what_was_done(self, walk):
        walk.tap("main_yes")
        walk.tap("other_work")
        walk.tap("walk_front_cable")
        assert header(walk) == "Chain length"
        walk.tap("other_work")
        walk.tap("walk_rear_cable")
        assert header(walk) == "Hanger straight"


class TestStep:
    def test_yes_is_one_tap_and_the_next_step_comes(self, walk):
        walk.tap("main_yes")
        assert walk.session.log[-1].what == "wheel_seated"
        assert header(walk) == "Hanger straight"
        assert "Wheel seated: Good." in walk.text

    def test_the_warning_stands_before_the_command(self, walk):
        see(walk, "low_stop")
        shown = list(texts(walk.at.main))
        warning = next(place for place, text in enumerate(shown) if "WARNING" in text)
        command = next(place for place, text in enumerate(shown) if text.startswith("**Turn the low limit"))
        assert warning < command

    def test_a_value_off_shows_the_turn_in_place_of_the_command(self, walk):
        see(walk, "high_stop")
        give(walk, "high_stop", 2.4)
        assert "Screw the high limit screw in" in order(walk)
        walk.tap("main_corrected")
        assert isinstance(walk.session.log[-1], Turned)
        assert walk.session.log[-1].amount > 0
        give(walk, "high_stop", 0.8)
        assert "High stop: 0.8 mm" in walk.text

    def test_a_reading_that_no_hand_takes_is_asked_about_before_it_is_written(self, walk):
        held(walk, "pulley_gap")
        entries = len(walk.session.log)
        give(walk, "pulley_gap", 60.0)
        assert "did you mean 6 mm, or really 60 mm?" in walk.text
        assert len(walk.session.log) == entries
        walk.tap("main_doubt_given")
        assert (walk.session.log[-1].value, walk.session.log[-1].sure) == (60.0, True)
        assert "screw" in order(walk)

    def test_what_was_meant_is_one_tap_away(self, walk):
        held(walk, "pulley_gap")
        give(walk, "pulley_gap", 60.0)
        walk.tap("main_doubt_meant")
        assert walk.session.log[-1].value == 6.0

    def test_an_empty_field_is_told_in_one_sentence(self, walk):
        held(walk, "pulley_gap")
        walk.tap("main_enter")
        assert "Pulley gap must be a number in mm" in walk.text
        assert [entry.what for entry in walk.session.log if isinstance(entry, Measured)] == [
            "checked_low_stop"
        ]

    def test_not_sure_leaves_it_open_and_back_returns(self, walk):
        walk.tap("not_sure")
        assert walk.session.log[-1].step == "wheel_seated"
        assert header(walk) == "Hanger straight"
        assert "First settle: Wheel seated." in walk.text
        walk.tap("back")
        assert header(walk) == "Wheel seated"
        assert "Left open before." in walk.text

    def test_a_step_toward_the_spokes_begins_with_a_look_at_the_low_stop(self, walk):
        see(walk, "barrel_edge_inboard")
        assert "Does the stop hold it clear of the spokes?" in order(walk)
        walk.tap("main_first_no")
        assert "Do not ride" in walk.text
        walk.tap("main_first_yes")
        assert "Unscrew the barrel" in order(walk)

    def test_the_middle_of_the_window_is_one_tap(self, walk):
        see(walk, "barrel_edge_inboard")
        walk.tap("main_first_yes")
        see(walk, "barrel_edge_outboard")
        give(walk, "barrel_edge_outboard", 0.5)
        see(walk, "barrel_edge_inboard")
        give(walk, "barrel_edge_inboard", 0.75)
        see(walk, "barrel_middle")
        walk.tap("main_turned")
        assert (walk.session.log[-1].what, walk.session.log[-1].amount) == ("rear_barrel", 0.125)

    def test_a_poor_gear_leads_to_the_log(self, walk):
        held(walk, "gears_larger")
        walk.tap("main_poor")
        walk.tap("main_diagnosis")
        assert walk.title == "What do you hear?"

    def test_every_step_of_every_walk_shows_without_fault(self, walk):
        for name in walks_for(walk.session.bike):
            walk.at.session_state[setup_place.WALK] = name
            for step in setup_steps(walk.session, name).steps[::4]:
                walk.at.session_state[setup_place.STEP] = step.id
                walk.run()
                assert step.confirm or header(walk) == step.title


class TestLast:
    def test_handed_over_only_when_every_item_is_yes(self, walk):
        see(walk, "last_low_stop")
        for name in ("low_stop", "chain_joined", "bolts", "wheel", "brakes"):
            walk.tap(f"yes_last_{name}")
            see(walk, "last_low_stop")
        assert not setup_steps(walk.session, "rear_cable").handed_over
        walk.tap("no_last_ride")
        assert "before the bike goes out" in walk.text
        walk.tap("yes_last_ride")
        assert setup_steps(walk.session, "rear_cable").handed_over


class TestReferral:
    def test_diagnosis_sends_to_a_step_and_the_walk_leads_back(self, road):
        # A chain that fell inside twice: the low stop keeps it out of the spokes (garage files; seen).
        largest = road.session.bike.cogs[-1]
        fell = make_entry("heard", ring=50, cog=largest, moment="to_larger_cog", what="fell_inside")
        store = Store()
        store.add(store.load(road.at.session_state["session"]), fell, fell)
        road.turn_to("advice")
        road.tap("show_step")
        assert header(road) == "Low stop"
        road.tap("origin")
        assert road.title == "What to do now"
