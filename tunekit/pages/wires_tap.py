"""The drawing as something to tap: the browser reports the mark nearest to the finger, and nothing else."""

from collections.abc import Callable

import streamlit as st

from tunekit.show.runs_tap import TapFrame, tap_svg

# Words of the user reach the browser only inside the SVG, whose template escapes them.
JS = """
export default function ({ data, parentElement, setTriggerValue }) {
  const place = parentElement.querySelector('.frame');
  place.innerHTML = data.svg;
  const svg = place.querySelector('svg');
  svg.setAttribute('aria-label', data.alt);
  svg.onclick = (event) => {
    const box = svg.getBoundingClientRect();
    const scale = 1000 / box.width;
    const x = (event.clientX - box.left) * scale, y = (event.clientY - box.top) * scale;
    const far = (mark) => Math.hypot(mark.at[0] - x, mark.at[1] - y);
    const nearest = data.marks.reduce((one, other) => (far(one) <= far(other) ? one : other));
    if (far(nearest) < data.reach) setTriggerValue('tapped', nearest.key);
  };
}
"""
CSS = """
.frame { max-width: 560px; margin: 0 auto; cursor: pointer; touch-action: manipulation; }
.frame svg { display: block; }
"""
REACH = 130.0
"""How far from a mark a tap still counts, in units of the drawing: 44 px on a phone."""

_component = st.components.v2.component("tunekit_frame", html='<div class="frame"></div>', css=CSS, js=JS)


def tap_drawing(frame: TapFrame, alt: str, key: str, on_tap: Callable[[], None]) -> None:
    """Show the frame; `on_tap` finds the tapped mark's key in the session state under `key`, as `tapped`."""
    marks = [{"key": list(mark.key), "at": list(mark.at)} for mark in frame.marks]
    _component(
        data={"svg": tap_svg(frame), "alt": alt, "marks": marks, "reach": REACH},
        key=key,
        on_tapped_change=on_tap,
    )
