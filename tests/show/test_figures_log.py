"""The pictures of the log and the advice show what their records hold."""

import numpy as np
import pytest

from tunekit import Bike, Session
from tunekit.diagnosis.advice import Advice, Cause, Offset
from tunekit.session import make_entry
from tunekit.show.figures_log import (
    cause_bars,
    chance_text,
    gear_map,
    gear_state,
    heard_by_gear,
    offset_figure,
)

BIKE = Bike(rings=(34, 50), cogs=(11, 17, 28))


def heard(what: str, cog: int = 17, moment: str = "pedalling"):
    return make_entry("heard", ring=50, cog=cog, moment=moment, what=what)


def session(*log) -> Session:
    return Session(bike=BIKE, log=log)


def advice(**more) -> Advice:
    offsets = tuple(
        Offset(cog=cog, direction=direction, mm=-0.5, low_mm=-0.8, high_mm=-0.1, after_mm=0.1)
        for direction in ("to_larger_cog", "to_smaller_cog")
        for cog in BIKE.cogs
    )
    fields = {
        "causes": (Cause(name="index_outboard", probability=0.7), Cause(name="nothing", probability=0.004)),
        "next": None,
        "runners_up": (),
        "offsets": offsets,
        "quiet_mm": 0.3,
        "clear": 0.1,
        "minutes_left": 1.0,
        "minutes_left_without_look": 2.0,
        "evidence": (),
        "set_aside": (),
        "ties": (),
        "caution": None,
        "sure": True,
    }
    return Advice(**{**fields, **more})


class TestGearMap:
    def test_a_gear_is_in_trouble_until_its_last_word_is_good(self):
        assert gear_state([]) == "silent"
        assert gear_state([heard("rattle")]) == "trouble"
        assert gear_state([heard("rattle"), heard("clean")]) == "good"
        assert gear_state([heard("clean"), heard("slow", moment="to_larger_cog")]) == "trouble"

    def test_a_turn_makes_every_gear_unridden_again(self):
        turn = make_entry("turned", what="rear_barrel", amount=0.25)
        assert heard_by_gear(session(heard("rattle"), turn)) == {}
        assert list(heard_by_gear(session(heard("rattle"), turn, heard("clean", 28)))) == [(50, 28)]

    def test_every_gear_is_drawn_once_with_symbol_and_colour(self):
        fig = gear_map(session(heard("rattle"), heard("clean", 28)))
        drawn = {trace.name: list(zip(trace.y, trace.x, strict=True)) for trace in fig.data}
        assert drawn["trouble"] == [("50", "17")]
        assert drawn["good"] == [("50", "28")]
        assert len(drawn["not ridden"]) == 4
        assert len({trace.marker.symbol for trace in fig.data}) == 3
        assert fig.data[1].hovertext == ("Rattles",)


class TestOffsets:
    def test_the_band_and_the_quiet_window_are_the_record_s(self):
        fig = offset_figure(advice(), BIKE)
        now = fig.data[0]
        np.testing.assert_allclose(np.asarray(now.y) + np.asarray(now.error_y.array), -0.1)
        np.testing.assert_allclose(np.asarray(now.y) - np.asarray(now.error_y.arrayminus), -0.8)
        assert (fig.layout.shapes[0].y0, fig.layout.shapes[0].y1) == (-0.3, 0.3)
        assert list(fig.layout.xaxis.ticktext) == ["11", "17", "28"]

    def test_before_and_after_are_both_drawn_and_told_apart_without_colour(self):
        fig = offset_figure(advice(), BIKE)
        assert len(fig.data) == 4
        assert len({(trace.line.dash, trace.marker.symbol) for trace in fig.data}) == 4
        np.testing.assert_allclose(fig.data[1].y, 0.1)

    def test_nothing_is_drawn_after_a_step_that_moves_nothing(self):
        still = tuple(
            Offset(cog=17, direction=direction, mm=-0.5, low_mm=-0.8, high_mm=-0.1, after_mm=-0.5)
            for direction in ("to_larger_cog", "to_smaller_cog")
        )
        assert len(offset_figure(advice(offsets=still), BIKE).data) == 2


class TestCauses:
    def test_bars_carry_name_and_chance_and_leave_out_the_unlikely(self):
        fig = cause_bars(advice())
        assert list(fig.data[0].x) == [70.0]
        assert [note.text for note in fig.layout.annotations] == ["Too little cable tension, 70 %"]

    def test_no_causes_draw_an_empty_picture(self):
        assert len(cause_bars(advice(causes=())).data[0].x) == 0

    @pytest.mark.parametrize(("chance", "text"), [(0.004, "under 1 %"), (0.5, "50 %"), (0.996, "over 99 %")])
    def test_no_chance_is_told_as_certain(self, chance, text):
        assert chance_text(chance) == text
