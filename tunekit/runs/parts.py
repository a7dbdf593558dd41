"""The parts list, with spare advice."""

from collections import Counter

from tunekit.data import phrase, table
from tunekit.runs.records import CableRun, Junction, PartLine, Wire


def _line(part: str, count: int, spare: int, key: str = "", **values: object) -> PartLine:
    name = phrase("runs", f"part.{key or part}", **values)
    return PartLine(
        part=part,
        name=name,
        count=count,
        spare=spare,
        advice=phrase("runs", f"spare.{part}") if spare else "",
    )


def _wire_lines(wires: tuple[Wire, ...]) -> list[PartLine]:
    """Longest first; one spare of the length used most (the longest of these when several are)."""
    counts = Counter(wire.length_mm for wire in wires)
    most = max(counts, key=lambda length: (counts[length], length), default=None)
    return [
        _line("wire", counts[length], int(length == most), mm=f"{length:g}")
        for length in sorted(counts, reverse=True)
    ]


def _junction_lines(junctions: tuple[Junction, ...]) -> list[PartLine]:
    counts = Counter(junction.ports for junction in junctions)
    advice = phrase("runs", "spare.junction")
    return [
        PartLine(
            part="junction",
            name=phrase("runs", "part.junction", ports=ports),
            count=count,
            spare=0,
            advice=advice,
        )
        for ports, count in sorted(counts.items(), reverse=True)
    ]


def _cable_lines(cables: tuple[CableRun, ...]) -> list[PartLine]:
    """Inner wires by length, housing by the total, small parts by the piece."""
    if not cables:
        return []
    inner = Counter(
        (run.inner_bought_mm or run.inner_mm, "inner" if run.inner_bought_mm else "inner_own")
        for run in cables
    )
    share = float(table("frames")["cable"]["housing_spare_share"]["value"])
    housing = sum(run.housing_mm for run in cables) * (1 + share)
    lines = [
        _line("inner", count, 1, key, mm=f"{mm:.0f}")
        for (mm, key), count in sorted(inner.items(), reverse=True)
    ]
    advice = phrase("runs", "spare.housing")
    name = phrase("runs", "part.housing", mm=f"{housing:.0f}")
    return [
        *lines,
        PartLine(part="housing", name=name, count=1, spare=0, advice=advice),
        _line("ferrule", sum(run.ferrules for run in cables), 2),
        _line("end_cap", sum(run.end_caps for run in cables), 1),
    ]


def parts_list(
    wires: tuple[Wire, ...], junctions: tuple[Junction, ...], cables: tuple[CableRun, ...]
) -> tuple[PartLine, ...]:
    """Everything to order, junctions first."""
    return (*_junction_lines(junctions), *_wire_lines(wires), *_cable_lines(cables))
