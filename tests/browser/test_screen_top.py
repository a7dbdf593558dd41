"""After an answer the walk's next screen begins at its top, so that a warning is read before the action."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
SCROLLED = "document.querySelector('[data-testid=stMain]').scrollTop"


def test_an_answer_brings_the_next_screen_to_its_top(phone):
    refused = []
    phone.page.on(
        "console", lambda said: refused.append(said.text) if "Content Security" in said.text else None
    )
    phone.tap("main_derailleur")
    phone.tap("starter_road-double-11")
    phone.titled("The bike")
    phone.turn_to("Set-up")
    phone.tap("main_rear_cable")
    expect(phone.page.locator("h2").first).to_have_text("Wheel seated")
    phone.page.evaluate("document.querySelector('[data-testid=stMain]').scrollTo(0, 600)")
    phone.tap("main_yes")
    expect(phone.page.locator("h2").first).to_have_text("Hanger straight")
    for _ in range(25):  # the page's own policy forbids what playwright's waiting would evaluate inside it
        if phone.page.evaluate(SCROLLED) == 0:
            break
        phone.page.wait_for_timeout(200)
    assert phone.page.evaluate(SCROLLED) == 0
    assert refused == []
