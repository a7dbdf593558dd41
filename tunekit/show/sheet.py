"""The hand-over sheet: one self-contained page without scripts, to print on A4 or Letter.

This module gathers what the page says; `templates/sheet.html` says it. The figures are plain SVG whose points
come from `show/sheet_figures.py`.
"""

from dataclasses import dataclass
from typing import Any

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.diagnosis import advise
from tunekit.diagnosis.advice import Advice
from tunekit.fit import check_fit, size_chain
from tunekit.session import Measured, Session, Turned
from tunekit.setup import setup_steps
from tunekit.show import sheet_figures, words
from tunekit.show.known import known_lines, unfinished_lines, verdict_text
from tunekit.show.rendering import rendered
from tunekit.show.signal import SIGNAL
from tunekit.show.text.columns import percent
from tunekit.show.text.fit import STATUS, VERDICT, figure, finding_name, where_text, window_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One of the last checks, and what was answered."""

    text: str
    answer: str


def _bike_rows(bike: Bike) -> list[tuple[str, str]]:
    """Each part in a row: its figures with the bike form's own labels."""
    labels = table("words/bike")
    rows = [("Rings", _teeth(bike.rings)), ("Cogs", _teeth(bike.cogs))]
    for part, title in labels["group"].items():
        values = getattr(bike, part, None)
        if values is None:
            continue
        said = [
            _labelled(labels[part][name]["label"], value)
            for name, value in values
            if name in labels[part] and value is not None
        ]
        rows.append((title, "; ".join(said)))
    return rows


def _teeth(teeth: tuple[int, ...]) -> str:
    return ", ".join(map(str, teeth))


def _labelled(label: str, value: object) -> str:
    """The form's "Chainstay, mm" and 410 as "Chainstay 410 mm"."""
    if not isinstance(value, float | int):
        return f"{label} {value}"
    name, _, unit = label.rpartition(", ")
    said = words.number_text(value)
    return f"{name} {said} {unit}" if unit in ("mm", "teeth") else f"{label} {said}"


def _fit(bike: Bike) -> dict[str, Any]:
    report = check_fit(bike)
    rows = [
        {
            "status": STATUS[finding.status],
            "name": finding_name(finding),
            "value": figure(finding.value, finding.unit),
            "limit": figure(finding.limit),
            "rule": finding.rule,
            "if_ignored": finding.if_ignored,
            "remedy": finding.remedy,
        }
        for finding in report.findings
    ]
    return {"verdict": VERDICT[report.status], "rows": rows}


def _chain(bike: Bike) -> dict[str, Any]:
    advice = size_chain(bike)
    return {
        "links": advice.links,
        "why": advice.why,
        "window": window_text(advice),
        "where": where_text(advice),
    }


def _settings(session: Session) -> list[tuple[str, str]]:
    """Each screw once, with the sum of its turns; then the parts fitted."""
    turned: dict[str, list[Turned]] = {}
    for entry in session.log:
        if isinstance(entry, Turned):
            turned.setdefault(entry.what, []).append(entry)
    rows = [_sum_row(entries) for entries in turned.values()]
    return rows + [
        ("Fitted or put right", words.entry_text(entry)) for entry in session.log if entry.kind == "fitted"
    ]


def _sum_row(entries: list[Turned]) -> tuple[str, str]:
    """All turns of one screw as one: "Rear barrel adjuster", "a quarter turn out, in 2 goes"."""
    name = words.label("turned", entries[0].what)
    amounts = [entry.amount for entry in entries if entry.amount is not None]
    if not amounts:
        return name, "done"
    goes = "" if len(amounts) == 1 else f", in {len(amounts)} goes"
    total = sum(amounts)
    if abs(total) < 1e-9:
        return name, f"back where it was{goes}"
    # The sum may leave the bounds of a single turn, so it is not validated as one.
    said = words.entry_text(entries[0].model_copy(update={"amount": total}))
    return name, said.removeprefix(f"{name}: ") + goes


def _readings(session: Session) -> list[tuple[str, str]]:
    """The latest of each measurement, by word, ring and cog; the last checks stand elsewhere."""
    latest = {
        (entry.what, entry.ring, entry.cog): entry
        for entry in session.log
        if isinstance(entry, Measured) and not entry.what.startswith("checked_")
    }
    return [tuple(words.entry_text(entry).rsplit(": ", 1)) for entry in latest.values()]  # type: ignore[misc]


def _log(session: Session) -> list[tuple[str, str]]:
    return [(entry.at.strftime("%Y-%m-%d %H:%M"), words.entry_text(entry)) for entry in session.log]


def _cautions(bike: Bike) -> list[dict[str, str]]:
    """The walk's cautions that the rider must read, gravest first."""
    named, known = table("words/sheet")["cautions"], table("words/hazards")
    motor = "electronic" in (bike.rear.actuation, bike.front and bike.front.actuation)
    rows = [known[name] for name in [*named["every"], *(named["electronic"] if motor else [])]]
    order = list(SIGNAL)
    rows.sort(key=lambda row: order.index(row["signal"]))
    return [
        {"signal": SIGNAL[row["signal"]], "text": f"{row['hazard']} {row['consequence']} {row['avoidance']}"}
        for row in rows
    ]


ANSWER = {"done": "✓ yes", "open": "☐ open", "not_sure": "☐ not sure", "taken": "☐ open"}


def _handover(session: Session) -> dict[str, Any]:
    """The do-and-confirm list as it stands, and whether the bike counts as handed over."""
    walk = setup_steps(session)
    checks = [step for step in walk.steps if step.confirm]
    answered = sum(step.state == "done" and step.value != 0 for step in checks)
    return {
        "verdict": verdict_text(walk, session),
        "open": "" if walk.handed_over else f"{answered} of {len(checks)} last checks are answered yes.",
        "unfinished": unfinished_lines(walk, session),
        "checks": [
            Check(text=step.command, answer="✗ no" if step.value == 0 else ANSWER[step.state])
            for step in checks
        ],
    }


def _opinion(session: Session) -> dict[str, Any] | None:
    """What the advice believes at the end of the log; None when nothing was heard or measured."""
    if not any(entry.kind in ("heard", "measured", "told") for entry in session.log):
        return None
    advice = advise(session)
    return {
        "verdict": opinion_text(advice, session.bike),
        "caution": advice.caution,
        "known": known_lines(advice.known),
        "offsets": sheet_figures.offset_chart(advice),
    }


def opinion_text(advice: Advice, bike: Bike) -> str:
    """Whether anything is left to do, and what comes first."""
    chance = percent(advice.clear)
    if advice.next is None and advice.end == "right":
        return f"Nothing is left to do, as far as the log shows (probability {chance})."
    if advice.next is None:
        return "What was logged fits nothing that tunekit knows: ask a qualified mechanic."
    todo = words.move_text(advice.next, bike)
    if advice.known:
        return f"Work is left. Next: {todo}"
    return f"Work is left (probability that nothing is left: {chance}). Next: {todo}"


def sheet_html(session: Session) -> str:
    """The whole page as text; the same session gives the same page."""
    days = [entry.at.strftime("%Y-%m-%d") for entry in session.log]
    return rendered(
        "sheet.html",
        title=session.title or words.say("desk.untitled"),
        first=days[0] if days else None,
        last=days[-1] if days else None,
        bike=_bike_rows(session.bike_now),
        gears=sheet_figures.gear_chart(session.bike),
        fit=_fit(session.bike_now),
        chain=_chain(session.bike_now),
        settings=_settings(session),
        readings=_readings(session),
        opinion=_opinion(session),
        handover=_handover(session),
        log=_log(session),
        cautions=_cautions(session.bike),
        deference=table("words/sheet")["deference"],
    )
