"""How often a noise comes that belongs to one turning thing, in crank turns: counting it names the part."""

from tunekit.bike.errors import TunekitError, one_of
from tunekit.mechanics.bounds import within

PERIODS = ("chain", "crank", "wheel", "cog", "pulley")
"""The words of `heard.per`; a cog turns with the wheel."""


def crank_turns_per_tick(per: str, *, ring: int, cog: int, links: int, pulley_teeth: int = 11) -> float:
    """Crank turns between two ticks of something that ticks once per turn of `per`.

    One crank turn moves the chain by as many links as the ring has teeth; the chain comes round after all its
    links, a cog after its own teeth, a pulley after its own.
    """
    if per not in PERIODS:
        raise TunekitError(f"per must be {one_of(PERIODS)} (got {per}).")
    links_per_turn = {"chain": links, "crank": ring, "wheel": cog, "cog": cog, "pulley": pulley_teeth}
    return float(within(per, links_per_turn[per], 5, 300) / within("ring", ring, 5, 200, "teeth"))
