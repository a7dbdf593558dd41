"""The wires page on a phone: a tap on the drawing, a length typed, a device added, the sheet taken along."""

import pytest
from playwright.sync_api import expect

from tunekit.runs import starter_plan
from tunekit.show.runs_tap import tap_frame

pytestmark = pytest.mark.browser

BOX = """() => {
  const find = (at) => at.shadowRoot?.querySelector('svg') || at.querySelector?.('.frame svg') ||
    [...at.children].map(find).find(Boolean);
  const svg = find(document.querySelector('.st-key-wires_tap'));
  if (!svg) return null;
  svg.scrollIntoView({block: 'center'});
  const {x, y, width} = svg.getBoundingClientRect();
  return [x, y, width];
}"""
SMALL = """() => [...document.querySelectorAll('[data-testid=stMain] button, [data-testid=stMain] summary')]
  .filter(e => e.offsetParent && !e.closest('[data-testid=stElementToolbar]'))
  .map(e => [e.innerText || e.ariaLabel, e.getBoundingClientRect()])
  .filter(([_, box]) => box.height < 47.5)
  .map(([name, box]) => `${name}: ${box.width} x ${box.height}`)"""
SIDEWAYS = (
    "() => document.querySelector('[data-testid=stMain]').scrollWidth - document.documentElement.clientWidth"
)


def tap_on_drawing(bench, *key: str) -> None:
    """Touch the mark of a section or a point of the road frame."""
    for _ in range(100):
        box = bench.page.evaluate(BOX)
        if box:
            break
        bench.page.wait_for_timeout(200)
    mark = next(mark for mark in tap_frame(starter_plan("road")).marks if mark.key == key)
    bench.page.touchscreen.tap(box[0] + mark.at[0] * box[2] / 1000, box[1] + mark.at[1] * box[2] / 1000)


def test_frame_length_device_and_sheet_on_a_phone(phone):
    page = phone.page
    page.goto(page.url.rstrip("/") + "/wires")
    phone.titled("Wires and cables")
    phone.sees("6 wires and 2 junctions")

    tap_on_drawing(phone, "section", "stem", "head_tube")
    field = page.get_by_role("spinbutton", name="stem – head tube, mm along the path")
    expect(field).to_be_visible()
    field.fill("260")
    field.press("Enter")
    phone.sees("1 × Wire 1050 mm")

    tap_on_drawing(phone, "point", "bars")
    expect(page.locator(".st-key-wires_add_button button")).to_be_visible()
    phone.tap("wires_add_button")
    phone.sees("1 × Junction, 5 ports")
    phone.sees("7 wires and 2 junctions")

    assert page.evaluate(SIDEWAYS) <= 0
    assert page.evaluate(SMALL) == []
    with page.expect_download() as waiting:
        phone.tap("main_wires_sheet")
    text = waiting.value.path().read_text(encoding="utf-8")
    assert "Junction, 5 ports" in text
    assert "<script" not in text
