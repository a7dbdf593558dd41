"""Fit: does it go together? Troubles first, each with its nearest remedy."""

import streamlit as st

from tunekit.fit import Finding, check_fit
from tunekit.pages import desk
from tunekit.show.words import gear_text, quantity_text, say

ORDER = {"fail": 0, "caution": 1}


def numbers(finding: Finding) -> str:
    """What the bike has against what it may have."""
    if finding.value is None:
        return say("fit.uncomputed" if finding.name == "chain_path" else "fit.unknown")
    value = quantity_text(finding.value, finding.unit)
    if finding.limit is None:
        return value
    return say("fit.numbers", value=value, limit=quantity_text(finding.limit, finding.unit))


def heading(finding: Finding) -> str:
    return f"**{say(f'finding.{finding.name}')}**: {numbers(finding)}"


def gears_in(finding: Finding) -> None:
    if finding.gears:
        st.write(say("fit.gears", gears=", ".join(gear_text(*gear) for gear in finding.gears)))


def trouble(finding: Finding) -> None:
    with st.container(border=True):
        desk.VERDICT[finding.status](f"{say(f'status.{finding.status}')}: {heading(finding)}")
        if finding.remedy:
            st.markdown(say("fit.remedy", remedy=finding.remedy))
        st.write(finding.if_ignored)
        gears_in(finding)
        st.caption(finding.rule)


def fits(findings: list[Finding]) -> None:
    with st.expander(say("fit.passes", count=len(findings))):
        for finding in findings:
            st.markdown(f"✓ {heading(finding)}")
            gears_in(finding)
            st.caption(finding.rule)


found = desk.need()
report = check_fit(found.session.bike_now)
st.title(say("fit.title"), anchor=False)
desk.VERDICT[report.status](f"**{say(f'fit.{report.status}')}**")
troubles = [finding for finding in report.findings if finding.status != "pass"]
for finding in sorted(troubles, key=lambda finding: ORDER[finding.status]):
    trouble(finding)
fits([finding for finding in report.findings if finding.status == "pass"])
st.caption(say("fit.leaflet"))
desk.next_page("chain")
desk.next_page("bike", main=False)
