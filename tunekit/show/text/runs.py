"""The run sheet as text: what to order, what to pull in which order, what to test."""

from tunekit.runs.records import CableRun, RunSheet, Wire
from tunekit.show.signal import SIGNAL
from tunekit.show.text.columns import columns, paragraphs, wrapped
from tunekit.show.words import number_text


def _mm(length: float) -> str:
    return number_text(length, 0)


def _wire_row(wire: Wire) -> tuple[str, ...]:
    return (
        wire.label,
        _mm(wire.need_mm),
        _mm(wire.length_mm),
        f"{wire.start} to {wire.end}. {wire.stow}".strip(),
    )


def _wires_text(sheet: RunSheet) -> str:
    if not sheet.wires:
        return ""
    wires = columns(("Wire", "Need mm", "Buy mm", "From and to"), map(_wire_row, sheet.wires), right=(1, 2))
    junctions = [
        (item.label, f"{item.used} of {item.ports}", item.at.replace("_", " "), ", ".join(item.wires))
        for item in sheet.junctions
    ]
    table = columns(("Junction", "Ports", "At", "Wires"), junctions) if junctions else ""
    proof = (
        "No wiring with fewer parts, or as many and less excess, exists."
        if sheet.proven
        else "Not proven the best."
    )
    total = f"{sheet.part_count} wires and junctions, {_mm(sheet.excess_mm)} mm of excess in all. {proof}"
    return paragraphs(wires, table, wrapped(total))


def _cable_text(cable: CableRun) -> str:
    rows = [
        (
            piece.kind,
            _mm(piece.length_mm),
            f"{number_text(piece.bend_deg, 0)}°",
            f"{piece.start} to {piece.end}",
        )
        for piece in cable.pieces
    ]
    drag = (
        f"Drag at the pulley {number_text(cable.drag_mm)} mm ({number_text(cable.drag_low_mm)} to "
        f"{number_text(cable.drag_high_mm)}); pull at the lever × {number_text(cable.force_ratio)}."
    )
    said = [cable.verdict, *cable.notes]
    return "\n".join(
        [
            f"{cable.name}: housing {_mm(cable.housing_mm)} mm, inner {_mm(cable.inner_mm)} mm",
            columns(("Piece", "Cut mm", "Bends", "From and to"), rows, right=(1, 2)),
            *(wrapped(text) for text in (drag, *said) if text),
        ]
    )


def _numbered(title: str, lines: list[str]) -> str:
    said = [wrapped(text, "    ", first=f"{number:2}. ") for number, text in enumerate(lines, 1)]
    return "\n".join([title, *said]) if lines else ""


def runs_text(sheet: RunSheet) -> str:
    """Cautions first, then the parts, every run, the order of pulling and the tests."""
    parts = [(part.count, part.spare, part.name, part.advice) for part in sheet.parts]
    pulling = [" ".join([step.command, *step.notes]) for step in sheet.pulling]
    sections = "; ".join(f"{one} to {other}" for one, other in sheet.unmeasured).replace("_", " ")
    return paragraphs(
        sheet.title,
        "\n".join(
            wrapped(caution.text, "  ", first=f"{SIGNAL[caution.signal]}: ") for caution in sheet.cautions
        ),
        columns(("Count", "Spare", "Part", "Advice"), parts, right=(0, 1)) if parts else "",
        "The list of what can be bought is a typical one; use your own." if sheet.typical_stock else "",
        _wires_text(sheet),
        *map(_cable_text, sheet.cables),
        _numbered("Order of pulling", pulling),
        _numbered("Label both ends", [tag.text for tag in sheet.tags]),
        _numbered("Test before the frame is closed", list(sheet.tests)),
        _numbered(
            "If a device is dead", [f"{line.device}: {' - '.join(line.path)}" for line in sheet.continuity]
        ),
        wrapped(f"Still the starter frame's lengths, measure them: {sections}.") if sections else "",
    )
