"""Chain: how many links, by every rule; and before and after a swap."""

import streamlit as st

from tunekit.bike import Bike, SessionError, TunekitError
from tunekit.fit import ChainAdvice, RuleLength, SwapReport, size_chain
from tunekit.fit.swap import swap
from tunekit.mechanics.from_bike import side_view
from tunekit.mechanics.outline import outline
from tunekit.mechanics.side_view import solve_paths, swing_band
from tunekit.pages import desk, pictures
from tunekit.pages.bike_form import teeth_from
from tunekit.pages.plain import refuse
from tunekit.session.store import Kept
from tunekit.show.figures_metal import cage_angle_figure, side_view_figure
from tunekit.show.words import gear_text, number_text, opened, say


def answer(advice: ChainAdvice) -> None:
    """The number to cut to, the window, and why."""
    window = window_text(advice)
    with st.container(border=True, key="order_chain"):
        st.markdown(f"**{say('chain.links', links=advice.links)}**")
        differ = advice.rules_differ_links
        rules = say("chain.pairs", differ=differ) if differ else say("chain.pairs_agree")
        st.caption(f"{rules}; {window}.")
    cautions(advice)
    st.write(advice.why)
    where(advice)
    remarks(advice)


def window_text(advice: ChainAdvice) -> str:
    if advice.shortest is None:
        return say("chain.no_window")
    if advice.shortest == advice.longest:
        return say("chain.only")
    return say("chain.window", shortest=advice.shortest, longest=advice.longest)


def warns(note: str) -> bool:
    return note.startswith(("CAUTION", "WARNING"))


def cautions(advice: ChainAdvice) -> None:
    """What can do harm, in a colour as well as a word of its own, before the work is named."""
    for note in filter(warns, advice.notes):
        st.warning(note)


def remarks(advice: ChainAdvice) -> None:
    """What else to mind."""
    st.markdown("\n".join(f"- {note}" for note in advice.notes if not warns(note)))


def where(advice: ChainAdvice) -> None:
    """The gears in which the present chain does not work."""
    for name, gears in (("too_short", advice.too_short), ("too_long", advice.too_long)):
        if gears:
            st.error(say(f"chain.{name}", gears=", ".join(gear_text(*gear) for gear in gears)))


def rule_line(rule: RuleLength) -> str:
    return say(
        "chain.rule_here" if rule.applies else "chain.rule" if rule.safe else "chain.rule_short",
        links=rule.links,
        rule=rule.rule,
        raw=number_text(rule.raw_links),
        rounding=rule.rounding,
        source=rule.source,
    )


def rules(advice: ChainAdvice) -> None:
    with st.expander(say("chain.rules")):
        for rule in sorted(advice.rules, key=lambda rule: not rule.applies):
            st.markdown(rule_line(rule))


def after_swap(before: Bike) -> Bike | None:
    """The bike with the cogs and rings typed; None, with the sentence shown, when they cannot be."""
    cogs = st.text_input(say("chain.new_cogs"), ", ".join(map(str, before.cogs)), key="swap_cogs")
    rings = st.text_input(say("chain.new_rings"), ", ".join(map(str, before.rings)), key="swap_rings")
    try:
        fields = {name: getattr(before, name) for name in Bike.model_fields}
        return Bike.build(**{**fields, "cogs": teeth_from("cogs", cogs), "rings": teeth_from("rings", rings)})
    except SessionError as error:
        refuse(error)
        return None


def show_swap(report: SwapReport) -> None:
    """Does it go together, may the chain stay, what has to be set again, what was gained."""
    chain = report.chain
    fit_verdict(report)
    if chain.keep is not None:
        show = st.success if chain.keep else st.error
        show(f"**{say('chain.keep' if chain.keep else 'chain.keep_not')}**")
    cautions(chain)
    st.write(chain.why)
    where(chain)
    remarks(chain)
    if report.set_again:
        st.markdown(f"**{say('chain.set_again')}**")
        st.markdown(
            "\n".join(f"{number}. {opened(item.why)}" for number, item in enumerate(report.set_again, 1))
        )
    capacity = {"before": report.capacity_before, "after": report.capacity_after}
    st.write(say("chain.capacity", **capacity, limit=report.capacity_limit))
    lowest = {"before": number_text(report.lowest_before), "after": number_text(report.lowest_after)}
    st.write(say("chain.lowest", **lowest))
    st.write(say("chain.gained", gained=len(report.gained), lost=len(report.lost)))


def fit_verdict(report: SwapReport) -> None:
    """Whether the bike goes together after the swap, and what stands in the way."""
    status = report.fit.status
    desk.VERDICT[status](f"**{say(f'fit.{status}')}**")
    lines = [
        f"- {say('fit.trouble', name=say(f'finding.{finding.name}'), remedy=finding.remedy)}"
        for finding in report.fit.findings
        if finding.status == "fail"
    ]
    st.markdown("\n".join(lines))


def put_on(after: Bike, parts: list[str]) -> None:
    """Make the swap true: the bike changes, the log says what was fitted (a button's callback)."""
    if desk.change(bike=after):
        desk.forget_shown()
        desk.add_all([{"kind": "fitted", "what": part} for part in parts])


def before_and_after(found: Kept) -> None:
    before = found.session.bike_now
    with st.expander(say("chain.swap"), expanded=st.session_state.get("way") == "swap"):
        st.caption(say("chain.swap_help"))
        after = after_swap(before)
        if after is None:
            return
        if (after.cogs, after.rings) == (before.cogs, before.rings):
            st.info(say("chain.same"))
            return
        show_swap(swap(before, after))
        parts = ["cassette"] * (after.cogs != before.cogs) + ["rings"] * (after.rings != before.rings)
        st.button(
            say("chain.put_on"), key="main_put_on", width="stretch", on_click=put_on, args=(after, parts)
        )


def path(bike: Bike, links: int) -> None:
    """The chain in one gear, and the cage's angle in all of them."""
    st.subheader(say("chain.path"), anchor=False)
    ring, cog = pictures.pick_gear(bike, "chain")
    view = side_view(bike)
    try:
        drawn = outline(view, ring, cog, links)
        paths = solve_paths(view, links)
    except TunekitError as error:
        refuse(error)
        return
    alt = say("chain.path_alt", gear=gear_text(ring, cog), links=links, state=say(f"chain.{drawn.flag}"))
    pictures.show(side_view_figure(drawn), "side_view", alt)
    st.caption(alt)
    angles = cage_angle_figure(paths, swing_band(view), bike.rings, bike.cogs)
    pictures.show(angles, "cage_angle", say("chain.angle_alt"))


found = desk.need()
st.title(say("chain.title"), anchor=False)
swapping = st.session_state.get("way") == "swap"
if swapping:
    before_and_after(found)
    st.subheader(say("chain.as_it_is"), anchor=False)
advice = size_chain(found.session.bike_now)
answer(advice)
rules(advice)
if not swapping:
    before_and_after(found)
path(found.session.bike_now, advice.present or advice.links)
desk.next_page("setup_walk")
desk.next_page("gears", main=False)
