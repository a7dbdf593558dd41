"""A run sheet as text."""

from tunekit.runs import RunSheet
from tunekit.runs.records import CableRun
from tunekit.show.runs_sheet import cable_drag, cable_lengths, provisos, search_text, verdict
from tunekit.show.text.columns import columns, paragraphs, wrapped


def _parts(sheet: RunSheet) -> str:
    rows = [(line.count, line.spare or "–", line.name, line.advice) for line in sheet.parts]
    return columns(("Fit", "Spare", "Part", "Advice"), rows, right=(0, 1))


def _wires(sheet: RunSheet) -> str:
    if not sheet.wires:
        return ""
    rows = [
        (w.label, w.need_mm, f"{w.length_mm:g}", f"{w.excess_mm:g}", f"{w.start} – {w.end}. {w.stow}".strip())
        for w in sheet.wires
    ]
    table = columns(
        ("Wire", "Needs", "Buy", "Left", "From – to, mm; where the spare goes"), rows, right=(1, 2, 3)
    )
    junctions = [
        f"{j.label}: {j.ports} ports at the {j.at.replace('_', ' ')}, {', '.join(j.wires)}"
        for j in sheet.junctions
    ]
    return "\n".join([table, *junctions])


def _cable(run: CableRun) -> str:
    rows = [
        (p.label, p.kind, f"{p.length_mm:.0f}", f"{p.bend_deg:.0f}", f"{p.start} – {p.end}")
        for p in run.pieces
    ]
    table = columns(("Piece", "Kind", "mm", "Bends", "From – to"), rows, right=(2, 3))
    said = [cable_lengths(run), cable_drag(run), run.verdict, *run.notes]
    return "\n".join([f"{run.label} {run.name}", table, *(wrapped(line) for line in said if line)])


def _pulling(sheet: RunSheet) -> str:
    lines = []
    for number, step in enumerate(sheet.pulling, 1):
        lines.append(wrapped(step.command, first=f"{number:2}. "))
        lines += [wrapped(note, first="    - ") for note in step.notes]
    return "\n".join(["Order of pulling", *lines]) if lines else ""


def _tests(sheet: RunSheet) -> str:
    return "\n".join(
        [
            "Test before the frame is closed",
            *(wrapped(test, first=" [ ] ") for test in sheet.tests),
            "Test with cranks and chain on",
            *(wrapped(test, first=" [ ] ") for test in sheet.tests_after),
        ]
    )


def _continuity(sheet: RunSheet) -> str:
    rows = [(row.device, " → ".join(row.path)) for row in sheet.continuity]
    return columns(("Device", "From the battery"), rows) if rows else ""


def runs_text(sheet: RunSheet) -> str:
    """The sheet for a shell: cautions, parts, runs, order of pulling, tests."""
    return paragraphs(
        sheet.title,
        "\n".join(wrapped(line) for line in (verdict(sheet), *provisos(sheet), search_text(sheet)) if line),
        "\n".join(
            wrapped(f"{caution.signal}: {caution.text}", indent="  ", first="") for caution in sheet.cautions
        ),
        _parts(sheet),
        _wires(sheet),
        *(_cable(run) for run in sheet.cables),
        _pulling(sheet),
        "\n".join(["Label both ends", *(f"  {tag.text}" for tag in sheet.tags)]) if sheet.tags else "",
        _tests(sheet),
        _continuity(sheet),
    )
