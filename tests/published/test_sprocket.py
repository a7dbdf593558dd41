"""Circles of rings and cogs, and chordal action, against handbook tables and textbook examples."""

from functools import partial

from published import Published, against_print

from tunekit.mechanics import sprocket

TABLE = "table: Pitch diameter of roller chain wheels"
DESIGN = "Design of Machine Elements, worked example 14.4"
REPORT = "student final report, chain drive chapter, p. 58"
ANALYSIS_BOOK = "Analysis and Design of Machine Elements (2019), eq. 7.13"
NOTES = "sprocket drawing notes"
ANALYSIS = "transmission sprocket analysis, article 579"
FORM = "recomputed from the seen formula; nobody printed it"

# Teeth and pitch diameter as printed, for a pitch of 25.4 mm.
HANDBOOK = {11: 90.16, 13: 106.14, 17: 138.23, 25: 202.66, 34: 275.28, 42: 339.89, 50: 404.52, 53: 428.76}
# Teeth and speed variation in per cent, by eq. 7.13.
VARIATION = {9: 6.16, 11: 4.11, 17: 1.71, 25: 0.79, 50: 0.20}

ROWS = (
    *(
        Published(
            quantity=f"pitch diameter, {teeth} teeth, pitch 25.4",
            ours=partial(sprocket.pitch_diameter_mm, teeth, 25.4),
            published=printed,
            tol=0.01,
            source=TABLE,
            status="seen+recalc",
            unit="mm",
        )
        for teeth, printed in HANDBOOK.items()
    ),
    Published(
        quantity="pitch diameter, 21 teeth, pitch 12.7",
        ours=partial(sprocket.pitch_diameter_mm, 21),
        published=85.21,
        tol=0.005,
        source=REPORT,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="pitch diameter, 23 teeth, pitch 12.7",
        ours=partial(sprocket.pitch_diameter_mm, 23),
        published=93.27,
        tol=0.005,
        source=REPORT,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="pitch diameter, 17 teeth, pitch 19.05",
        ours=partial(sprocket.pitch_diameter_mm, 17, 19.05),
        published=103.673741,
        tol=1e-5,
        source=DESIGN,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="pitch diameter, 34 teeth, pitch 19.05",
        ours=partial(sprocket.pitch_diameter_mm, 34, 19.05),
        published=206.462975,
        tol=1e-5,
        source=DESIGN,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="tip diameter, 11 teeth, p (0.6 + cot(180/N))",
        ours=partial(sprocket.tip_diameter_mm, 11),
        published=50.87,
        tol=0.005,
        source=f"{NOTES}; {FORM}",
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="tip diameter, 50 teeth, p (0.6 + cot(180/N))",
        ours=partial(sprocket.tip_diameter_mm, 50),
        published=209.48,
        tol=0.005,
        source=f"{NOTES}; {FORM}",
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="pitch diameter less root diameter, 17 teeth: one roller",
        ours=lambda: sprocket.pitch_diameter_mm(17) - sprocket.root_diameter_mm(17),
        published=7.75,
        tol=1e-9,
        source=f"{ANALYSIS}; roller from ISO 9633",
        status="memory",
        unit="mm",
    ),
    Published(
        quantity="circumference N p / pi in place of the pitch diameter, 9 teeth: how much too low",
        ours=lambda: 100 * (1 - 9 * 12.7 / 3.141592653589793 / sprocket.pitch_diameter_mm(9)),
        published=2.0,
        tol=0.05,
        source=FORM,
        status="calc",
        unit="%",
    ),
    *(
        Published(
            quantity=f"chordal speed variation, {teeth} teeth, (max - min) / mean",
            ours=lambda teeth=teeth: 100 * sprocket.speed_variation(teeth),
            published=printed,
            tol=0.006,
            source=f"{ANALYSIS_BOOK}; {FORM}",
            status="calc",
            unit="%",
        )
        for teeth, printed in VARIATION.items()
    ),
    Published(
        quantity="chordal speed variation, 9 teeth, (max - min) / max",
        ours=lambda: 100 * sprocket.speed_variation_of_max(9),
        published=6.03,
        tol=0.005,
        source=f"Analysis and Design of Machine Elements (2019), eq. 7.11 and 7.12; {FORM}",
        status="calc",
        unit="%",
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()
