"""What is bolted on, in teeth, millimetres and degrees.

Field names are the session file's. Where a figure comes from the part's own leaflet, the mechanic types it;
defaults are typical for the class and are marked so in the starter table.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import pi, sin
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from tunekit.bike.errors import SessionError, one_sentence

Actuation = Literal["cable", "electronic"]
Control = Literal["indexed", "friction", "twist", "wired", "wireless"]
Teeth = Annotated[int, Field(ge=7, le=80)]
LINK_MM = 12.7
"""Pitch of every cycle chain, half an inch (article on chain sizes)."""


class Part(BaseModel):
    """Base of every noun: frozen, strict, no unknown keys, no NaN."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid", allow_inf_nan=False)


def _mm(low: float, high: float) -> object:
    """Bounds so wide that only a slip of the finger falls outside."""
    return Field(ge=low, le=high)


class Frame(Part):
    """The frame as far as the drivetrain knows it."""

    chainstay_mm: Annotated[float, _mm(150, 1200)] = 410.0
    """Crank axis to hub axis, the spring out or the wheel at rest."""
    bb_drop_mm: Annotated[float, _mm(-100, 150)] = 70.0
    """Hub axis above crank axis."""
    chainstay_growth_mm: Annotated[float, _mm(0, 80)] = 0.0
    """Extra crank-to-hub distance at the worst point of rear travel."""
    chainstay_least_growth_mm: Annotated[float, _mm(-40, 0)] = 0.0
    """The same where the hub comes nearest to the crank: less than 0 when the chainstay shortens in travel."""
    hub_spacing_mm: Annotated[float, _mm(80, 200)] = 130.0
    """Over-locknut distance of the rear hub."""
    hanger_back_mm: Annotated[float, _mm(-40, 60)] | None = None
    """Hub axis to the hanger's bolt, rearward; null takes the usual place."""
    hanger_down_mm: Annotated[float, _mm(5, 80)] | None = None
    """Hub axis to the hanger's bolt, downward; null takes the usual place."""

    @property
    def shortest_mm(self) -> float:
        """Crank to hub where rear travel brings them nearest."""
        return self.chainstay_mm + self.chainstay_least_growth_mm

    @property
    def travel_growth_mm(self) -> float:
        """Longest chainstay in rear travel less the shortest."""
        return self.chainstay_growth_mm - self.chainstay_least_growth_mm

    @model_validator(mode="after")
    def _longer_than_the_drop(self) -> Self:
        if self.shortest_mm <= abs(self.bb_drop_mm):
            raise ValueError(
                f"needs a chainstay longer than its bb_drop_mm (got {self.shortest_mm:g} and {self.bb_drop_mm:g}); "
                "measure both again"
            )
        return self


class RearDerailleur(Part):
    """The rear derailleur and what moves it."""

    actuation: Actuation = "cable"
    cage_mm: Annotated[float, _mm(20, 150)] = 56.0
    """Guide pulley centre to tension pulley centre."""
    guide_teeth: Annotated[int, Field(ge=8, le=20)] = 11
    tension_teeth: Annotated[int, Field(ge=8, le=20)] = 11
    largest_cog: Teeth = 28
    """Largest cog the part's leaflet allows."""
    smallest_cog: Teeth | None = None
    """Smallest cog the part's leaflet allows; null when it names none."""
    least_largest_cog: Teeth | None = None
    """Least that the cassette's largest cog may have by the part's leaflet; null when it names none."""
    capacity: Annotated[int, Field(ge=0, le=70)] = 33
    """Total capacity the part's leaflet allows, in teeth."""
    cable_ratio: Annotated[float, _mm(0.3, 4)] | None = 1.7
    """Millimetres at the pulley for each millimetre of cable; null when electronic."""
    lever_pull_mm: Annotated[float, _mm(0.5, 10)] | None = 2.3
    """Cable pulled for one click; null when electronic."""
    lever_clicks: Annotated[int, Field(ge=1, le=20)] | None = None
    """Clicks from the smallest cog to the lever's last; null while nobody counted them."""
    step_mm: Annotated[float, _mm(0.01, 1)] | None = None
    """Pulley movement for one micro-adjust step, when electronic."""
    pulley_gap_mm: Annotated[float, _mm(2, 30)] = 6.0
    """Target gap on the largest cog, pulley teeth to cog teeth, by the part's leaflet."""
    high_stop_turns: Annotated[float, _mm(0, 3)] | None = None
    """Electronic: turns from touching to which the leaflet sets the high stop; null while nobody typed them."""
    clutch: bool = False
    """Whether a clutch holds the cage back."""
    on_axle: bool = False
    """Whether it is bolted to the axle itself: then there is no hanger to bend or to gauge."""

    @model_validator(mode="after")
    def _cable_needs_pull(self) -> Self:
        if self.actuation == "cable" and (self.cable_ratio is None or self.lever_pull_mm is None):
            raise ValueError(
                "needs cable_ratio and lever_pull_mm when its actuation is cable; add both figures"
            )
        return self


class FrontDerailleur(Part):
    """The front derailleur."""

    actuation: Actuation = "cable"
    capacity: Annotated[int, Field(ge=0, le=40)] = 16
    """Largest difference between rings that the part's leaflet allows, in teeth."""
    cage_width_mm: Annotated[float, _mm(6, 30)] = 12.0
    """Clear width between the plates where the chain runs (typical for the class)."""
    largest_ring: Teeth | None = None
    """Largest ring that the cage is curved for, by the leaflet; null when it names none."""
    least_ring: Teeth | None = None
    """Least that the largest ring may have by the leaflet; null when it names none."""
    least_difference: Annotated[int, Field(ge=0, le=40)] | None = None
    """Least difference of the two largest of three or more rings, by the leaflet; null when it names none."""
    step_mm: Annotated[float, _mm(0.01, 1)] | None = None
    """Cage movement for one micro-adjust step, when electronic."""


class Cassette(Part):
    """Spacing of the cogs."""

    pitch_mm: Annotated[float, _mm(2, 7)] = 3.95
    """Centre to centre of neighbouring cogs."""
    pitches_mm: (
        Annotated[tuple[Annotated[float, _mm(2, 9)], ...], Field(strict=False, min_length=1, max_length=13)]
        | None
    ) = None
    """The same for each pair of neighbours, from the smallest cog on, where they differ; null when all are alike."""
    cog_mm: Annotated[float, _mm(0.8, 4)] = 1.6
    """Thickness of a cog."""
    locknut_gap_mm: Annotated[float, _mm(0, 15)] = 3.0
    """Locknut face to the outer face of the smallest cog."""


class Crank(Part):
    """Rings and their place."""

    chainline_mm: Annotated[float, _mm(25, 80)] = 43.5
    """Frame's centre plane to the middle of the rings."""
    ring_gap_mm: Annotated[float, _mm(2, 15)] = 7.5
    """Centre to centre of neighbouring rings."""
    guide: bool = False
    """Whether a chain guide stands at the ring."""
    length_mm: Annotated[float, _mm(80, 220)] = 172.5
    """Crank axis to pedal axis, for the gain ratio."""


class Chain(Part):
    """The chain that is on, or is to be cut."""

    speeds: Annotated[int, Field(ge=1, le=14)] = 10
    links: Annotated[int, Field(ge=40, le=300)] | None = None
    """Links of 12.7 mm now fitted; null when not yet cut."""

    @field_validator("links")
    @classmethod
    def _even(cls, links: int | None) -> int | None:
        if links is not None and links % 2:
            raise ValueError(
                "must be an even number of links, since an inner link joins an outer one; count again"
            )
        return links


def _pitch_radius_mm(teeth: int) -> float:
    """Wheel's axis to the chain's pins, p / (2 sin(π/N)); `mechanics.sprocket` has it for arrays."""
    return LINK_MM / (2 * sin(pi / teeth))


def _increasing(values: Sequence[float]) -> bool:
    return all(a < b for a, b in pairwise(values))


class Wheel(Part):
    """The driven wheel."""

    circumference_mm: Annotated[float, _mm(600, 3000)] = 2105.0
    rim_mm: Annotated[float, _mm(200, 700)] = 622.0
    """Diameter across which a hanger gauge reads, the bead seat diameter of ISO 5775."""
    hub_gears: Annotated[
        tuple[Annotated[float, _mm(0.2, 4)], ...], Field(strict=False, min_length=1, max_length=14)
    ] = (1.0,)
    """Steps of a gear hub behind the cassette, wheel turns per cog turn, lowest first; 1 alone without one."""

    @field_validator("hub_gears")
    @classmethod
    def _lowest_first(cls, steps: tuple[float, ...]) -> tuple[float, ...]:
        if not _increasing(steps):
            raise ValueError("must increase, each step once, lowest first; list the steps in order")
        return steps


class Bike(Part):
    """One bike's drivetrain. Rings and cogs are tooth counts, smallest first."""

    rings: Annotated[tuple[Teeth, ...], Field(strict=False, min_length=1, max_length=4)]
    cogs: Annotated[tuple[Teeth, ...], Field(strict=False, min_length=1, max_length=14)]
    frame: Frame = Frame()
    rear: RearDerailleur = RearDerailleur()
    front: FrontDerailleur | None = None
    cassette: Cassette = Cassette()
    crank: Crank = Crank()
    chain: Chain = Chain()
    wheel: Wheel = Wheel()
    control: Control | None = None
    """How the lever acts; null while nobody has said."""

    @field_validator("rings", "cogs")
    @classmethod
    def _smallest_first(cls, teeth: tuple[int, ...]) -> tuple[int, ...]:
        if not _increasing(teeth):
            raise ValueError("must increase, each tooth count once, smallest first; list the teeth in order")
        return teeth

    @property
    def cog_pitches_mm(self) -> tuple[float, ...]:
        """Centre to centre of each pair of neighbouring cogs, from the smallest on."""
        return self.cassette.pitches_mm or (self.cassette.pitch_mm,) * (len(self.cogs) - 1)

    @model_validator(mode="after")
    def _a_pitch_for_each_pair(self) -> Self:
        pitches = self.cassette.pitches_mm
        if pitches is not None and len(pitches) != len(self.cogs) - 1:
            raise ValueError(
                f"needs in cassette.pitches_mm one figure for each pair of neighbouring cogs, "
                f"{len(self.cogs) - 1} here (got {len(pitches)}); list a pitch for every pair"
            )
        return self

    @model_validator(mode="after")
    def _wheels_apart(self) -> Self:
        """Ring and cog must not overlap, or no chain runs round them."""
        ring, cog = self.rings[-1], self.cogs[-1]
        least = _pitch_radius_mm(ring) + _pitch_radius_mm(cog)
        if self.frame.shortest_mm <= least:
            raise ValueError(
                f"has a chainstay of {self.frame.shortest_mm:g} mm, but must have more than {least:.1f} mm, or the "
                f"ring of {ring} and the cog of {cog} teeth would touch; measure crank axis to hub axis and count "
                "the teeth"
            )
        return self

    @classmethod
    def build(cls, **fields: object) -> Self:
        """A checked bike; raises SessionError with one sentence instead of pydantic's report."""
        try:
            return cls(**fields)  # type: ignore[arg-type]
        except ValidationError as error:
            raise SessionError(one_sentence(error, whole="bike")) from None
