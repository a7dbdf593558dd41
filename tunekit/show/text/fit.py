"""Fit findings, chain length and what a swap changes, as text."""

from tunekit.fit.report import ChainAdvice, Finding, FitReport, Gear, RuleLength, SwapReport
from tunekit.show.text.columns import columns, paragraphs, signed, wrapped
from tunekit.show.words import number_text

STATUS = {"pass": "ok", "caution": "CAUTION", "fail": "FAIL"}
VERDICT = {
    "pass": "It goes together.",
    "caution": "It goes together, with care.",
    "fail": "It does not go together.",
}


def gear_list(gears: tuple[Gear, ...]) -> str:
    """34 × 28, 34 × 25, with spaces that do not break."""
    return ", ".join(f"{ring}\u00a0×\u00a0{cog}" for ring, cog in gears)


def figure(value: float | None, unit: str = "") -> str:
    """A figure with its unit, ? when it is not known."""
    return "?" if value is None else f"{number_text(value)} {unit}".strip()


def finding_name(finding: Finding) -> str:
    """Total capacity"""
    return finding.name.replace("_", " ").capitalize()


def _trouble(finding: Finding) -> str:
    lines = [
        f"{STATUS[finding.status]}: {finding_name(finding)}",
        wrapped(finding.rule, "  "),
        wrapped(finding.if_ignored, "  "),
    ]
    if finding.gears:
        lines.append(wrapped(f"In {gear_list(finding.gears)}.", "  "))
    if finding.remedy:
        lines.append(wrapped(f"Remedy: {finding.remedy}.", "  "))
    return "\n".join(lines)


def fit_text(report: FitReport) -> str:
    """The findings as a table, then of each trouble the rule, what it leads to and the remedy."""
    rows = [
        (
            STATUS[finding.status],
            finding_name(finding),
            figure(finding.value, finding.unit),
            figure(finding.limit),
        )
        for finding in report.findings
    ]
    table = columns(("", "Checked", "Has", "May have"), rows, right=(2, 3))
    named = [f for f in report.findings if f.status == "pass" and f.gears]
    return paragraphs(
        VERDICT[report.status],
        table,
        *(_trouble(f) for f in report.findings if f.status != "pass"),
        *(wrapped(f"{finding_name(f)}: crossed in {gear_list(f.gears)}.") for f in named),
    )


def window_text(advice: ChainAdvice) -> str:
    """Which lengths work in every gear, and how that is known."""
    by = "solved from the chain's path" if advice.basis == "geometry" else "by the rules"
    if advice.shortest is None:
        return f"No length works in every gear ({by})."
    if advice.shortest == advice.longest:
        return f"Only {advice.shortest} links work in every gear ({by})."
    return f"{advice.shortest} to {advice.longest} links work in every gear ({by})."


def where_text(advice: ChainAdvice) -> str:
    """In which gears the present chain is too short or slack; "" when in none."""
    short = f"The present chain is too short in {gear_list(advice.too_short)}." if advice.too_short else ""
    slack = f"The present chain is slack in {gear_list(advice.too_long)}." if advice.too_long else ""
    return f"{short} {slack}".strip()


def _rule_row(rule: RuleLength) -> tuple[object, ...]:
    name = rule.name.replace("_", " ")
    applies = "yes" if rule.applies else "" if rule.safe else "too short"
    return name, f"{rule.raw_links:.2f}", rule.links, applies, rule.rounding


def chain_text(advice: ChainAdvice) -> str:
    """Links to cut, the window, every rule's answer, and whether the present chain may stay."""
    return paragraphs(
        f"Chain: {advice.links} links of 12.7 mm",
        wrapped(advice.why),
        wrapped(window_text(advice)),
        wrapped(where_text(advice)),
        columns(("Rule", "Raw", "Links", "Applies", "Rounding"), map(_rule_row, advice.rules), right=(1, 2)),
        f"The rules differ by {advice.rules_differ_links} links.",
        *(wrapped(note) for note in advice.notes),
    )


def swap_text(report: SwapReport) -> str:
    """What the new cassette or rings change, and what has to be set again."""
    again = [
        wrapped(f"{item.name.replace('_', ' ').capitalize()}: {item.why}", "  ") for item in report.set_again
    ]
    gap = signed(report.pulley_gap_change_mm)
    rows = (
        ("Lowest gear", f"{report.lowest_before:.2f}", f"{report.lowest_after:.2f}"),
        ("Highest gear", f"{report.highest_before:.2f}", f"{report.highest_after:.2f}"),
        (f"Capacity (may be {report.capacity_limit})", report.capacity_before, report.capacity_after),
    )
    return paragraphs(
        wrapped(report.why),
        columns(("", "Before", "After"), rows, right=(1, 2)),
        "\n".join(again),
        wrapped(f"With the B screw left alone the gap on the largest cog changes by {gap} mm."),
        chain_text(report.chain),
        fit_text(report.fit),
    )
