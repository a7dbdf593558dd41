"""Fit: does it go together? Troubles first, each with its nearest remedy."""

import streamlit as st

from tunekit.fit import Finding, check_fit
from tunekit.pages import desk
from tunekit.show.words import gear_text, number_text, say

VERDICT = {"pass": st.success, "caution": st.warning, "fail": st.error}
ORDER = {"fail": 0, "caution": 1}


def numbers(finding: Finding) -> str:
    """What the bike has against what it may have."""
    if finding.value is None:
        return say("fit.unknown")
    value = number_text(finding.value)
    if finding.limit is None:
        return say("fit.number", value=value, unit=finding.unit)
    return say("fit.numbers", value=value, limit=number_text(finding.limit), unit=finding.unit)


def heading(finding: Finding) -> str:
    return f"**{say(f'finding.{finding.name}')}**: {numbers(finding)}"


def trouble(finding: Finding) -> None:
    with st.container(border=True):
        VERDICT[finding.status](f"{say(f'status.{finding.status}')}: {heading(finding)}")
        if finding.remedy:
            st.markdown(say("fit.remedy", remedy=finding.remedy))
        st.write(finding.if_ignored)
        if finding.gears:
            st.write(say("fit.gears", gears=", ".join(gear_text(*gear) for gear in finding.gears)))
        st.caption(finding.rule)


def fits(findings: list[Finding]) -> None:
    with st.expander(say("fit.passes", count=len(findings))):
        for finding in findings:
            st.markdown(f"✓ {heading(finding)}")
            st.caption(finding.rule)


found = desk.need()
report = check_fit(found.session.bike)
st.title(say("fit.title"), anchor=False)
VERDICT[report.status](f"**{say(f'fit.{report.status}')}**")
troubles = [finding for finding in report.findings if finding.status != "pass"]
for finding in sorted(troubles, key=lambda finding: ORDER[finding.status]):
    trouble(finding)
fits([finding for finding in report.findings if finding.status == "pass"])
st.caption(say("fit.leaflet"))
desk.next_page("chain")
desk.next_page("bike", main=False)
