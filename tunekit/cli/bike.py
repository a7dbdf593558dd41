"""Questions about what is bolted on."""

from typing import Annotated

import typer

from tunekit import load_session
from tunekit.cli.shell import File, Json, show, show_of, with_teeth


def fit(file: File, json: Json = False) -> None:
    """Does it go together?

    Capacity, largest cog, cable pull, chain, chainline: each with its numbers, its rule and a remedy.
    """
    from tunekit.fit import check_fit
    from tunekit.show.text.fit import fit_text

    session = load_session(file)
    show_of(session, check_fit(session.bike_now), fit_text, json)


def chain(
    file: File,
    cogs: Annotated[
        str | None, typer.Option(metavar="TEETH", help="The new cassette, as 11,13,15: may the chain stay?")
    ] = None,
    rings: Annotated[
        str | None, typer.Option(metavar="TEETH", help="The new rings, as 34,50: may the chain stay?")
    ] = None,
    json: Json = False,
) -> None:
    """How long must the chain be, and may the present one stay?

    Every published rule's answer, the lengths that work, and what a new cassette or new rings change.
    """
    from tunekit.fit import size_chain, swap
    from tunekit.show.text.fit import chain_text, swap_text

    session = load_session(file)
    bike = session.bike_now
    if cogs is None and rings is None:
        show_of(session, size_chain(bike), chain_text, json)
    else:
        show(swap(bike, with_teeth(bike, cogs=cogs, rings=rings)), swap_text, json)


def gears(
    file: File,
    cadence: Annotated[float, typer.Option(help="Crank turns a minute, for the speeds.")] = 90.0,
    tyre: Annotated[
        str | None, typer.Option(metavar="WIDTH-RIM", help="Tyre by its ISO 5775 size, as 25-622.")
    ] = None,
    json: Json = False,
) -> None:
    """Ratio, inches, development and speed of every gear."""
    from tunekit.mechanics.gears import gear_table
    from tunekit.mechanics.tyres import roll_out, size_from
    from tunekit.show.text.gears import gears_text

    session = load_session(file)
    bike = session.bike
    rolled = bike.wheel.circumference_mm if tyre is None else roll_out(*size_from(tyre)).mm
    steps = bike.wheel.hub_gears
    table = gear_table(bike.rings, bike.cogs, rolled, bike.crank.length_mm, cadence, steps)
    show_of(session, table, gears_text, json)


def line(file: File, json: Json = False) -> None:
    """Chainline, and the chain's angle in every gear."""
    from tunekit.fit import chainlines
    from tunekit.show.text.gears import line_text

    session = load_session(file)
    show_of(session, chainlines(session.bike), line_text, json)
