"""The trial's results as text."""

from tunekit.diagnosis.trial import Row, TrialReport
from tunekit.show.text.columns import columns, paragraphs, percent, wrapped


def _row(row: Row) -> tuple[str, ...]:
    wrong = percent(row.wrong_clear, 1) if row.policy == "advice" else ""
    return (
        row.policy,
        str(row.bikes),
        percent(row.cleared, 1),
        f"{row.steps:.2f}",
        f"{row.minutes:.1f}",
        wrong,
    )


def trial_text(report: TrialReport) -> str:
    """One line a policy, and what the columns mean."""
    log = "a few gears logged a ride" if report.sparse else "every gear logged"
    hidden = "one hidden fault" if report.faults == 1 else f"{report.faults} hidden faults"
    head = ("Policy", "Bikes", "Cleared", "Steps", "Minutes", "Wrong all clear")
    return paragraphs(
        f"Virtual bikes with {hidden}, {log}, seed {report.seed}",
        columns(head, map(_row, report.rows), right=range(1, 6)),
        wrapped(
            "Steps are things turned or fitted, mean a bike. Book order is a fixed order of adjustments; the "
            "last line sees the faults and works with hands as inexact."
        ),
    )
