"""What is asked again, what is put first, and what a needless turn costs."""

from dataclasses import replace

import numpy as np
import pytest

from tunekit.bike.starters import starter
from tunekit.diagnosis.advise import advise
from tunekit.diagnosis.belief import believe
from tunekit.diagnosis.choose import Lean, Problem, choose, found_by
from tunekit.diagnosis.evidence import read
from tunekit.diagnosis.explain import Reasons
from tunekit.diagnosis.moves import Situation
from tunekit.diagnosis.questions import EDGES, Question, Questions, classes
from tunekit.session import LogEntry, Session, make_entry

BIKE = starter("road-double-11")
SLOW = tuple(
    make_entry("heard", ring=BIKE.rings[-1], cog=cog, moment="to_smaller_cog", what="slow")
    for cog in BIKE.cogs[3:8]
)


def situation(*looks: LogEntry) -> Situation:
    session = Session(bike=BIKE, log=(*SLOW, *looks))
    return Situation(believe(BIKE, read(session))).thinned()


def asked(what: str, *looks: LogEntry) -> list[Question]:
    return [question for question in Questions(situation(*looks)).looks() if question.what == what]


def test_a_bad_answer_may_be_asked_for_once_more_and_tells_less_then() -> None:
    drags, moves = (make_entry("measured", what="cable_drag", value=value) for value in (1, 0))
    (first,) = asked("cable_drag")
    (again,) = asked("cable_drag", drags)
    assert (first.again, again.again) == (False, True)
    assert np.ptp(again.answers[:, 0]) < np.ptp(first.answers[:, 0])
    assert asked("cable_drag", drags, drags) == []
    assert asked("cable_drag", moves) == []


def test_why_says_that_it_is_asked_again() -> None:
    here = situation(make_entry("measured", what="cable_drag", value=1))
    (again,) = [q for q in Questions(here).looks() if q.what == "cable_drag"]
    why = Reasons(here, here.weight @ here.present, SLOW).why_question(again, 3.0)
    assert why.startswith("Look once more")


def two_causes(puts_out: bool) -> Problem:
    """The first cause a little more likely, its turn cheap; a look tells the two apart."""
    return Problem(
        need=np.array([[True, False], [False, True]]),
        mends=np.array([[0.95, 0.0], [0.0, 0.95]]),
        minutes=np.array([6.0, 17.0]),
        help_minutes=75.0,
        answers=(np.array([[0.95, 0.05], [0.05, 0.95]]),),
        answer_minutes=np.array([4.0]),
        harm_minutes=6.0,
        puts_out=np.array([puts_out, False]),
    )


def test_a_turn_that_may_put_out_what_was_right_waits_for_a_look() -> None:
    weight = np.array([0.55, 0.45])
    free, dear = (choose(two_causes(puts_out), weight)[0] for puts_out in (False, True))
    turns = [next(c.minutes for c in found if c.is_repair and c.index == 0) for found in (free, dear)]
    # The turn is needless on 45 of 100 bikes and costs six minutes more there, seldom a second time.
    assert 0.45 * 6 <= turns[1] - turns[0] < 0.45 * 7
    assert free[0].is_repair
    assert not dear[0].is_repair


def three_causes(asking: float, lean: Lean) -> Problem:
    """The first cause is likeliest; a question tells it from the others for `asking` minutes, another the second."""
    tells = [np.where(np.eye(3, dtype=bool)[[n]].T, [0.95, 0.05], [0.05, 0.95]) for n in (0, 1)]
    return Problem(
        need=np.eye(3, dtype=bool),
        mends=0.95 * np.eye(3),
        minutes=np.array([20.0, 20.0, 20.0]),
        help_minutes=75.0,
        answers=tuple(tells),
        answer_minutes=np.array([asking, 1.0]),
        lean=lean,
    )


@pytest.mark.parametrize(("lean", "first"), [(Lean(), 1), (Lean(look=4.0), 0)])
def test_of_equal_questions_the_one_about_the_likeliest_cause_comes_first(lean: Lean, first: int) -> None:
    choices, _ = choose(three_causes(3.0, lean), np.array([0.4, 0.32, 0.28]))
    questions = [choice for choice in choices if not choice.is_repair]
    assert abs(questions[0].minutes - questions[1].minutes) < 2.5
    assert questions[0].index == first


def test_a_gauge_of_the_likeliest_cause_is_all_about_it_though_its_answer_is_hardly_in_doubt() -> None:
    weight = np.array([0.9, 0.06, 0.04])
    problem = three_causes(1.5, Lean(look=4.0, gauge=4.0, repair=1.6))
    gauged = replace(problem, gauges=np.array([[True, False, False], [False, False, False]]))
    without, with_gauge = (choose(some, weight)[0][0] for some in (problem, gauged))
    assert without.is_repair
    assert (with_gauge.is_repair, with_gauge.index) == (False, 0)


@pytest.mark.parametrize(("first", "expected"), [([0.0, 0.0], 1), ([4.0, 0.0], 0)])
def test_of_equal_questions_custom_decides(first: list[float], expected: int) -> None:
    problem = replace(three_causes(3.0, Lean()), first=np.array(first))
    choices, _ = choose(problem, np.array([0.34, 0.33, 0.33]))
    assert next(choice.index for choice in choices if not choice.is_repair) == expected


def test_a_look_holds_until_a_turn_moves_what_it_reads() -> None:
    looks = (
        make_entry("measured", what="hanger_rim_mm", value=(10.0, 10.0, 10.0, 10.0)),
        make_entry("measured", what="pulley_offset_mm", cog=BIKE.cogs[len(BIKE.cogs) // 2], value=-0.6),
    )
    slow = make_entry("heard", moment="to_larger_cog", what="slow")
    turned = (slow, *looks, make_entry("turned", what="rear_barrel", amount=0.25), slow)

    def open_after(log: tuple[LogEntry, ...]) -> set[str]:
        here = Situation(believe(BIKE, read(Session(bike=BIKE, log=log)))).thinned()
        return {question.what for question in Questions(here).looks()}

    assert {"hanger_rim_mm", "pulley_offset_mm"}.isdisjoint(open_after((slow, *looks)))
    assert "hanger_rim_mm" not in open_after(turned)
    assert "pulley_offset_mm" in open_after(turned)
    assert "hanger_rim_mm" in open_after((*turned, make_entry("fitted", what="hanger"), slow))


def test_a_question_that_changes_nothing_is_left_out() -> None:
    blind = replace(three_causes(1.0, Lean()), answers=(np.full((3, 2), 0.5), np.full((3, 2), 0.5)))
    assert all(choice.is_repair for choice in choose(blind, np.array([0.4, 0.32, 0.28]))[0])


@pytest.mark.xfail(
    strict=False, reason="since complaints weigh as learned: odds of reports outvote this pattern"
)
def test_the_hanger_is_gauged_before_it_is_bent() -> None:
    slow = [
        make_entry("heard", ring=BIKE.rings[-1], cog=cog, moment="to_larger_cog", what="slow")
        for cog in BIKE.cogs[5:]
    ]
    log = (*slow, make_entry("told", what="fall"))
    found = advise(Session(bike=BIKE, log=log))
    assert found.causes[0].name == "hanger_bent_outboard"
    assert found.next is not None
    assert (found.next.kind, found.next.what) == ("measured", "hanger_rim_mm")


def test_a_question_that_is_plainly_dearer_stays_behind() -> None:
    choices, _ = choose(three_causes(9.0, Lean(look=4.0)), np.array([0.4, 0.32, 0.28]))
    assert next(choice.index for choice in choices if not choice.is_repair) == 1


def test_a_gauge_saves_minutes_where_it_aims_a_turn() -> None:
    short = make_entry(
        "heard", ring=BIKE.rings[-1], cog=BIKE.cogs[0], moment="to_smaller_cog", what="refused"
    )
    here = Situation(believe(BIKE, read(Session(bike=BIKE, log=(short, short))))).thinned()
    saves = {question.what: question.saves for question in Questions(here).looks()}
    off = float(here.weight @ (here.amounts["high_limit"] < here.window("high_limit")[0]))
    assert off > 0.1
    # At most, a turn that would certainly miss is made to hit: 0.52 of a turn of the screw and its ride of 6.5 minutes.
    assert 0.05 < saves["high_limit_offset_mm"] <= 0.52 * 6.5 * off + 1e-9
    assert saves["chain_wear_pct"] == saves["limit_touches"] == 0


def test_a_reading_falls_into_five_classes_round_what_is_expected() -> None:
    chance = classes(np.array([-5.0, -2.0, 0.0, 2.0, 5.0]), 1.0, EDGES)
    assert np.allclose(chance.sum(axis=1), 1)
    assert chance.argmax(axis=1).tolist() == [0, 1, 2, 3, 4]
    assert np.allclose(chance, chance[::-1, ::-1])


def test_a_question_is_worth_the_bikes_on_which_it_finds_something() -> None:
    sure, blind = np.array([[1.0, 0.0], [0.0, 1.0]]), np.full((2, 2), 0.5)
    often_wrong = np.array([[0.9, 0.1], [0.9, 0.1]])
    problem = Problem(
        need=np.array([[True], [False]]),
        mends=np.array([[1.0]]),
        minutes=np.array([5.0]),
        help_minutes=75.0,
        answers=(sure, blind, often_wrong),
        answer_minutes=np.ones(3),
    )
    found = found_by(problem, np.array([0.1, 0.9]))
    assert np.allclose(found, [0.1, 0.0, 0.0])


def test_a_reading_of_a_stop_is_weighed_as_the_stop_stands_after_its_turn() -> None:
    off = make_entry(
        "heard", ring=BIKE.rings[-1], cog=BIKE.cogs[0], moment="to_smaller_cog", what="fell_outside"
    )
    turned = make_entry("turned", what="high_limit", amount=2.0)
    here = Situation(believe(BIKE, read(Session(bike=BIKE, log=(off, off, turned))))).thinned()
    (look,) = [q for q in Questions(here).looks() if q.what == "high_limit_offset_mm"]
    stands, weight = here.amounts["high_limit"], here.weight
    likely = weight > 0.2 * weight.max()
    far, near = (look.answers[:-1][likely][f(stands[likely])] for f in (np.argmax, np.argmin))
    assert np.abs(far - near).sum() / 2 > 0.5


def test_that_no_lever_feels_heavy_on_three_rides_does_not_rule_out_a_dragging_cable() -> None:
    ride = tuple(
        make_entry("heard", ring=BIKE.rings[-1], cog=cog, moment=moment, what="slow")
        for moment in ("to_larger_cog", "to_smaller_cog")
        for cog in BIKE.cogs[1:-1]
    )
    there, back = (make_entry("turned", what="rear_barrel", amount=amount) for amount in (0.125, -0.125))
    found = believe(BIKE, read(Session(bike=BIKE, log=(*ride, there, *ride, back, *ride))))
    causes = np.array([setting.cause for setting in found.states.settings])
    drags, sticks = (
        float(found.weight @ (causes == name)[found.sets].any(axis=1))
        for name in ("cable_drag", "derailleur_sticky")
    )
    assert drags > sticks
