"""Chain wear by ruler and by percentage against printed pairs."""

from functools import partial

from published import Published, against_print

from tunekit.mechanics import wear

RULER = "article on chain wear by ruler (2020)"
PUSH = "Measuring chain wear"
POST = "forum post 22828293 on chain wear"
SHOP = "shop note on chain wear"
PHOTO = "photo page, old and new chain at 12 inches (2011)"
FORM = "recomputed from the seen formula; nobody printed it"
INCH = 25.4

# Inches past the mark, inches spanned, per cent, half its last digit, source.
READINGS = (
    (1 / 16, 12, 0.5208, 0.00005, RULER),
    (1 / 32, 12, 0.26, 0.005, PUSH),
    (3 / 32, 12, 0.78, 0.005, POST),
    (1 / 8, 12, 1.0417, 0.00005, POST),
    (1 / 8, 11, 1.136, 0.0005, SHOP),
    (2 / 20, 12, 0.833, 0.0005, PHOTO),
)

ROWS = (
    Published(
        quantity="24 links unworn",
        ours=partial(wear.span_mm, 0.0),
        published=304.8,
        tol=1e-9,
        source=RULER,
        status="seen+recalc",
        unit="mm",
    ),
    *(
        Published(
            quantity=f"wear, {past:.4f} in past {inches} in",
            ours=partial(wear.wear_pct, (inches + past) * INCH, 2 * inches),
            published=pct,
            tol=tol,
            source=source,
            status="seen+recalc",
            unit="%",
        )
        for past, inches, pct, tol, source in READINGS
    ),
    *(
        Published(
            quantity=f"length of 24 links worn {pct} %",
            ours=partial(wear.span_mm, pct),
            published=length,
            tol=0.006,
            source=FORM,
            status="calc",
            unit="mm",
        )
        for pct, length in ((0.5, 306.32), (0.75, 307.09), (1.0, 307.85))
    ),
    *(
        Published(
            quantity=f"wear limit of a {speeds}-speed chain",
            ours=partial(wear.wear_limit_pct, speeds),
            published=pct,
            tol=0,
            source="common practice, no source",
            status="common practice",
            unit="%",
        )
        for speeds, pct in ((8, 1.0), (9, 0.75), (11, 0.5))
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()
