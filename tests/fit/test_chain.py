"""How many links, what else works, and whether the present chain may stay."""

import pytest
from bikes import GOOD, any_bike, but
from hypothesis import given, settings

from tunekit.bike import Bike, starter, starter_names
from tunekit.fit import size_chain
from tunekit.mechanics.chain_length import largest_pair_links
from tunekit.mechanics.from_bike import side_view, travel_mm
from tunekit.mechanics.side_view import links_window


def test_every_rule_is_named_with_its_rounding_and_source() -> None:
    rules = size_chain(GOOD).rules
    assert [r.name for r in rules] == [
        "largest_pair",
        "simple",
        "simple_rounded_up",
        "second_order",
        "engineering",
        "belt",
        "circle_belt",
    ]
    assert all(r.rule and r.rounding and r.source and r.links % 2 == 0 for r in rules)
    assert [r.name for r in rules if r.applies] == ["largest_pair"]


def test_two_rounding_rules_part_on_the_same_raw_length() -> None:
    """The printed example: 54.18 in is 54 or 55."""
    advice = size_chain(but(frame={"chainstay_mm": 415}, rings=[34, 50], cogs=[11, 32], chain={"speeds": 2}))
    simple = {r.name: r for r in advice.rules if r.name.startswith("simple")}
    assert simple["simple"].raw_links == simple["simple_rounded_up"].raw_links
    assert (simple["simple"].links, simple["simple_rounded_up"].links) == (108, 110)
    assert advice.rules_differ_links >= 2


@pytest.mark.parametrize(
    ("name", "rule", "extra"),
    [("road-double-10", "largest_pair", 2), ("gravel-single", "largest_pair_single_ring", 4)],
)
def test_the_rule_is_the_one_for_the_kind_of_bike(name: str, rule: str, extra: int) -> None:
    bike = starter(name)
    advice = size_chain(bike)
    assert next(r.name for r in advice.rules if r.applies) == rule
    assert advice.links == largest_pair_links(
        bike.frame.chainstay_mm, bike.rings[-1], bike.cogs[-1], extra=extra
    )


def test_rear_suspension_is_measured_at_the_longest_chainstay() -> None:
    bike = but(frame={"chainstay_growth_mm": 30})
    advice = size_chain(bike)
    rule = next(r for r in advice.rules if r.applies)
    assert rule.name == "largest_pair_suspension"
    assert rule.links == largest_pair_links(440, 50, 28)
    assert any("let the spring out" in note for note in advice.notes)


@settings(max_examples=40)
@given(any_bike())
def test_every_answer_is_even_and_inside_its_window(bike: Bike) -> None:
    advice = size_chain(bike)
    assert advice.links % 2 == 0
    assert all(r.links % 2 == 0 for r in advice.rules)
    if advice.shortest is not None:
        assert advice.shortest <= advice.links <= advice.longest
    if advice.present is None:
        assert (advice.keep, advice.change_links, advice.too_short, advice.too_long) == (None, None, (), ())
    elif not advice.keep:
        assert advice.present + advice.change_links == advice.links
    else:
        assert advice.change_links == 0


@pytest.mark.parametrize("name", starter_names())
def test_a_pair_of_links_past_either_end_is_told_by_gear(name: str) -> None:
    bike = starter(name)
    window = size_chain(bike)
    short = size_chain(but(bike, chain={"links": window.shortest - 2}))
    assert (bike.rings[-1], bike.cogs[-1]) in short.too_short
    assert short.change_links >= 2
    long = size_chain(but(bike, chain={"links": window.longest + 2}))
    assert bike.rings[0] in {ring for ring, _ in long.too_long}
    assert bike.cogs[-1] not in {cog for ring, cog in long.too_long if ring == bike.rings[-1]}
    assert long.change_links <= -2
    for links in (window.shortest, window.longest):
        at_edge = size_chain(but(bike, chain={"links": links}))
        assert (at_edge.keep, at_edge.too_short, at_edge.too_long) == (True, (), ())


def test_the_window_does_not_depend_on_the_chain_it_judges() -> None:
    windows = {
        (a.shortest, a.longest) for a in (size_chain(but(chain={"links": n})) for n in (None, 98, 106, 130))
    }
    assert len(windows) == 1


def test_a_bigger_cassette_asks_for_more_links() -> None:
    """The coach: 11-28 becomes 11-34 before race day."""
    old = but(chain={"links": 106}, rear={"largest_cog": 34, "capacity": 39, "cage_mm": 80})
    new = but(old, cogs=[11, 13, 15, 17, 19, 21, 23, 25, 27, 30, 34])
    advice = size_chain(new, old=old)
    assert (advice.present, advice.keep) == (106, False)
    assert advice.links == largest_pair_links(410, 50, 34)
    assert advice.change_links == advice.links - 106
    assert (50, 34) in advice.too_short
    assert advice.why.startswith("The present chain of 106 links is too short: add 4 links, to make 110.")
    assert any("measure its wear" in note for note in advice.notes)


def test_a_cassette_change_at_the_small_end_lets_the_chain_stay() -> None:
    old = but(chain={"links": 106})
    new = but(old, cogs=[12, *GOOD.cogs[2:-1], 27, 28])
    advice = size_chain(new, old=old)
    assert (advice.keep, advice.change_links) == (True, 0)
    assert " Cut the chain" not in advice.why, "what may stay is not to be cut"
    assert advice.why.startswith("The present chain of 106 links may stay.")


def test_an_uncounted_old_chain_is_taken_to_have_been_right_and_says_so() -> None:
    advice = size_chain(but(cogs=[*GOOD.cogs[:-1], 30]), old=GOOD)
    assert advice.present == size_chain(GOOD).links
    assert advice.present_assumed
    assert any("Nobody counted" in note for note in advice.notes)


def test_no_length_at_all_names_the_gears_to_leave_alone() -> None:
    advice = size_chain(but(rings=[26, 52], rear={"capacity": 33}))
    assert (advice.shortest, advice.longest) == (None, None)
    assert advice.links >= largest_pair_links(410, 52, 28)
    assert advice.why.startswith("No length works in every gear.")
    assert "26 × 11" in advice.why


def test_impossible_geometry_leaves_the_rules_and_says_why() -> None:
    advice = size_chain(but(rear={"cage_mm": 30}))
    assert advice.basis == "rules"
    assert (advice.shortest, advice.longest) == (advice.shortest_rules, advice.longest_rules)
    assert any("cage_mm must be at least" in note for note in advice.notes)


def test_rules_and_path_disagree_aloud() -> None:
    """A short cage with a generous leaflet, and a long one with a cautious leaflet."""
    generous = size_chain(but(rear={"capacity": 43}))
    assert generous.longest_rules > generous.longest
    assert any("more take-up than a cage of 56 mm shows" in note for note in generous.notes)
    cautious = size_chain(but(rear={"cage_mm": 90}))
    assert cautious.longest_rules < cautious.longest
    assert any("count teeth against the leaflet's capacity" in note for note in cautious.notes)


def test_over_capacity_by_the_leaflet_is_said_even_when_the_path_works() -> None:
    advice = size_chain(but(rear={"capacity": 30, "cage_mm": 70}))
    assert advice.shortest_rules is None
    assert advice.shortest is not None
    assert any("The leaflet outranks it" in note for note in advice.notes)


def test_the_caution_comes_before_the_cut() -> None:
    assert size_chain(GOOD).notes[0].startswith("WARNING")


@pytest.mark.parametrize("name", starter_names())
def test_the_window_and_its_best_are_the_side_views_own(name: str) -> None:
    bike = starter(name)
    advice, window = size_chain(bike), links_window(side_view(bike), travel_mm(bike))
    assert advice.path_best_links == window.best
    assert (advice.path_shortest_links, advice.path_longest_links) == pytest.approx(
        (window.lowest_links, window.highest_links)
    )
    assert set(window.links) & set(range(advice.shortest, advice.longest + 1, 2))


def test_over_capacity_without_a_path_names_the_gears_beyond_it() -> None:
    bike = but(rear={"capacity": 32, "cage_mm": 30})
    advice = size_chain(bike)
    assert (advice.basis, advice.shortest, advice.leave_alone) == ("rules", None, ((34, 11),))
    assert advice.why.endswith("then leave 34 × 11 alone.")


def test_by_the_rules_alone_a_pair_past_either_end_is_told_by_gear() -> None:
    """No path to solve (the pulleys would touch), so teeth are counted against the leaflet's 35."""
    bike = but(rear={"cage_mm": 30})
    window = size_chain(bike)
    short = size_chain(but(bike, chain={"links": window.shortest - 2}))
    assert (short.basis, short.keep) == ("rules", False)
    assert (50, 28) in short.too_short
    assert (34, 11) not in short.too_short
    long = size_chain(but(bike, chain={"links": window.longest + 2}))
    assert (long.keep, long.too_short) == (False, ())
    assert (34, 11) in long.too_long
    assert not {(50, 28), (50, 25), (34, 28)} & set(long.too_long)


def test_gears_beyond_the_capacity_are_counted_from_the_largest_pair() -> None:
    gears = size_chain(but(rear={"capacity": 30, "cage_mm": 30})).leave_alone
    assert gears == ((34, 11), (34, 12), (34, 13))
