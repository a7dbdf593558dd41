"""Total capacity and front difference against printed sums, misprints and a rider's slip among them."""

from functools import partial

from published import Published, against_print

from tunekit.mechanics import capacity

UNDERSTANDING = "article: Understanding Rear Bike Derailleurs"
EXPLAINED = "Urban Velo issue 5; blog: Rear Derailleur Capacity Explained (2007)"
BUYING = "article: How to Buy a Bicycle Rear Derailleur"
GLOSSARY = "Japanese bicycle glossary, total capacity"
FORUM = "triathlon forum thread 660324"
ANSWERS = "question-and-answer page on derailleur capacity"
FRONT = "question-and-answer page 17220, selecting a front derailleur"
LIST = "racing-association mailing list, June 2012"


def total(rings: tuple[int, ...], smallest: int, largest: int, printed: int, source: str) -> Published:
    """One printed sum."""
    return Published(
        quantity=f"total capacity, {'/'.join(map(str, rings))} with {smallest}-{largest}",
        ours=partial(capacity.total_capacity, rings, (smallest, largest)),
        published=printed,
        tol=0,
        source=source,
        status="seen+recalc",
        unit="teeth",
    )


def wrong(rings: tuple[int, ...], smallest: int, largest: int, printed: int, source: str) -> Published:
    """One printed sum that is wrong."""
    return Published(
        quantity=f"total capacity as misprinted, {'/'.join(map(str, rings))} with {smallest}-{largest}",
        ours=partial(capacity.total_capacity, rings, (smallest, largest)),
        published=printed,
        tol=0,
        source=source,
        status="seen",
        unit="teeth",
        misprint=True,
    )


ROWS = (
    *(
        Published(
            quantity=f"teeth that {growth} mm of chainstay growth ask of the cage",
            ours=partial(capacity.growth_teeth, growth),
            published=teeth,
            tol=0.06,
            source="worked out: both runs grow, 2 g / 12.7 links, a link two teeth",
            status="calc",
            unit="teeth",
        )
        for growth, teeth in ((5, 1.6), (10, 3.1), (20, 6.3), (30, 9.4), (40, 12.6))
    ),
    total((22, 32, 44), 11, 32, 43, UNDERSTANDING),
    total((39, 53), 11, 28, 31, BUYING),
    total((39, 52), 11, 25, 27, EXPLAINED),
    total((34, 50), 11, 34, 39, FORUM),
    total((30, 39, 52), 11, 27, 38, UNDERSTANDING),
    wrong((30, 39, 52), 11, 27, 32, UNDERSTANDING),
    total((24, 32, 44), 12, 34, 42, GLOSSARY),
    total((44,), 11, 36, 25, f"{LIST} (put right)"),
    wrong((44,), 11, 36, 33, LIST),
    *(
        Published(
            quantity=f"front difference, {large} less {small}",
            ours=partial(capacity.front_difference, (small, large)),
            published=printed,
            tol=0,
            source=source,
            status="seen+recalc",
            unit="teeth",
        )
        for large, small, printed, source in (
            (53, 39, 14, ANSWERS),
            (52, 36, 16, ANSWERS),
            (48, 22, 26, FRONT),
        )
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()
