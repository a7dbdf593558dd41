"""The whole set-up walk in Chromium at phone width, rear on a cable and rear electronic."""

import pytest
from playwright.sync_api import expect

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.session import make_entry
from tunekit.setup import answer, setup_steps

pytestmark = pytest.mark.browser

SIDEWAYS = """() => [document.documentElement, document.querySelector('[data-testid=stMain]')]
  .map(e => e.scrollWidth - e.clientWidth)"""
MAIN_HEIGHTS = """() => [...document.querySelectorAll('[class*="st-key-main_"] button')]
  .filter(e => e.offsetParent).map(e => e.getBoundingClientRect().height)"""
COMMAND_PX = """() => parseFloat(getComputedStyle(
  document.querySelector('[class*="st-key-order_"] p')).fontSize)"""
CAUTION_FIRST = """() => {
  const alerts = [...document.querySelectorAll("[data-testid=stAlert]")];
  const caution = alerts.find(e => /WARNING|NOTICE/.test(e.innerText));
  const command = document.querySelector('.st-key-order_command');
  return !caution || !!(caution.compareDocumentPosition(command) & Node.DOCUMENT_POSITION_FOLLOWING);
}"""

TOTAL = setup_steps(Session(bike=starter("road-double-10")), "rear_cable").total
GAP = setup_steps(Session(bike=starter("road-double-10")), "rear_cable").number("pulley_gap")
LAST = ("low_stop", "chain_joined", "bolts", "wheel", "brakes", "ride")
FIGURES = {"hanger_rim_mm": (40, 40, 39, 40), "rear_bolt_nm": (8,), "battery_pct": (90,), "rear_anchor_nm": (5,),
           "steps_left_outboard": (8,), "steps_left_inboard": (9,), "high_stop_backoff_turns": (0.25,)}  # fmt: skip
EDGES = {"barrel_edge_outboard": (0.25,), "barrel_edge_inboard": (0.5,), "step_edge_outboard": (3,),
         "step_edge_inboard": (5,)}  # fmt: skip


def _good(step):
    """What a mechanic taps or types when the step went well."""
    if step.move is not None:
        return "turned"
    if step.asks.form in ("number", "rim"):
        return EDGES.get(step.id) or FIGURES.get(step.asks.what) or (step.target.value,)
    return step.asks.seen[0][0] if step.asks.seen else "done" if step.asks.form == "done" else "clean"


def _entry(step, given):
    if given == "turned":
        return answer(step, step.target.value)
    typed = given if step.asks.form == "rim" else given[0] if isinstance(given, tuple) else given
    return answer(step, typed)


def done_well(name: str, walk: str):
    """Each screen of the walk up to the last checks: title, what is given, and the look that it begins with."""
    session = Session(bike=starter(name))
    while True:
        found = setup_steps(session, walk)
        step = found.step(found.current)
        if step.confirm:
            return
        if step.first:
            look = make_entry("measured", what=step.first_what, value=1.0)
            yield found.number(step.id), step.title, "first_yes"
            session = session.with_entry(look)
            continue
        given = _good(step)
        yield found.number(step.id), step.title, given
        session = session.with_entry(make_entry(**_entry(step, given)))


class Mechanic:
    """Hands on the phone."""

    def __init__(self, phone, starter: str, walk: str, total: int) -> None:
        self.phone, self.page, self.total = phone, phone.page, total
        phone.tap("main_derailleur")
        phone.tap(f"starter_{starter}")
        phone.titled("The bike")
        phone.turn_to("Set-up")
        phone.titled("Which work is it?")
        phone.tap(f"main_{walk}")

    def at(self, number: int, title: str) -> None:
        """The step is on the screen, and the screen begins at its top."""
        self.phone.sees(f"Step {number} of {self.total}")
        expect(self.page.get_by_role("heading", level=2, name=title, exact=True)).to_be_visible()
        expect(self.page.get_by_test_id("stMain")).to_have_js_property("scrollTop", 0)

    def jump(self, step: str) -> None:
        """By the list of all steps; for a moment after an answer the old list is there as well, and goes with a tap."""
        self.phone.at_rest()
        listed = self.page.locator("summary", has_text="All steps")
        expect(listed).to_have_count(1)
        listed.click()
        self.phone.tap(f"step_{step}")

    def type(self, *values: float) -> None:
        self.phone.at_rest()  # a rerun still under way would put the old value back
        fields = self.page.get_by_role("spinbutton")
        expect(fields).to_have_count(len(values))
        for place, value in enumerate(values):
            fields.nth(place).fill(str(value))
            fields.nth(place).blur()
            self.phone.at_rest()  # leaving a field reruns the script; a busy machine could lose a tap to that
        self.phone.tap("main_enter")

    def answer(self, given) -> None:
        if isinstance(given, tuple):
            self.type(*given)
        else:
            self.phone.tap(f"main_{given}")

    def follow(self, steps) -> None:
        for number, title, given in steps:
            self.at(number, title)
            self.phone.at_rest()  # the heading comes first; the buttons are judged once all of the step is there
            expect(self.page.locator("[class*='st-key-main_']").first).to_be_visible()
            assert self.page.evaluate(CAUTION_FIRST), title
            assert min(self.page.evaluate(MAIN_HEIGHTS)) >= 72, title
            assert self.page.evaluate(COMMAND_PX) >= 24, title
            self.answer(given)

    def confirm(self) -> None:
        expect(self.page.get_by_role("heading", level=2, name="Last checks")).to_be_visible()
        for place, name in enumerate(LAST, 1):
            self.phone.tap(f"yes_last_{name}")
            self.phone.at_rest()  # the low stop may stand ticked already, by the look before a step
            if place < len(LAST):
                self.phone.sees(f"{place} of {len(LAST)} done")
        self.phone.sees("The bike can be handed over.")


@pytest.mark.parametrize(
    ("name", "walk"), [("road-double-10", "rear_cable"), ("road-electronic", "rear_electronic")]
)
def test_the_whole_walk_on_a_phone(phone, name, walk):
    total = setup_steps(Session(bike=starter(name)), walk).total
    mechanic = Mechanic(phone, name, walk, total)
    mechanic.follow(done_well(name, walk))
    mechanic.confirm()


def test_a_wrong_value_is_questioned_corrected_and_measured_again(phone):
    mechanic = Mechanic(phone, "road-double-10", "rear_cable", TOTAL)
    mechanic.at(1, "Wheel seated")
    mechanic.jump("pulley_gap")
    mechanic.at(GAP, "Pulley gap")
    phone.tap("main_first_yes")
    mechanic.type(60)
    phone.sees("did you mean 6 mm, or really 60 mm?")
    phone.tap("doubt_drop")
    mechanic.type(4)
    phone.sees("4 mm: the target is 6 mm, 5 mm to 7 mm.")
    phone.sees("Screw the B screw in")
    phone.tap("main_corrected")
    expect(mechanic.page.get_by_role("button", name="Enter", exact=True)).to_be_visible()
    mechanic.type(6)
    phone.sees("Pulley gap: 6 mm: within 5 mm to 7 mm. Good.")


def test_an_interrupted_walk_resumes_at_its_step_in_one_tap(phone, app_url):
    mechanic = Mechanic(phone, "road-double-10", "rear_cable", TOTAL)
    mechanic.at(1, "Wheel seated")
    phone.tap("not_sure")
    mechanic.at(2, "Hanger straight")
    phone.page.goto(app_url)
    phone.tap("main_continue")
    mechanic.at(2, "Hanger straight")
    phone.sees("First settle: Wheel seated.")
    phone.tap("back")
    mechanic.at(1, "Wheel seated")


def test_enter_on_the_keyboard_answers(phone):
    mechanic = Mechanic(phone, "road-double-10", "rear_cable", TOTAL)
    mechanic.at(1, "Wheel seated")
    yes = phone.page.get_by_role("button", name="Seated", exact=True)
    yes.focus()
    yes.press("Enter")
    mechanic.at(2, "Hanger straight")
    phone.tap("main_not_sure")
    mechanic.at(3, "Cog teeth")
    mechanic.jump("pulley_gap")
    mechanic.at(GAP, "Pulley gap")
    phone.tap("main_first_yes")
    field = phone.page.get_by_role("spinbutton", name="Gap, pulley teeth to cog teeth, mm")
    field.fill("6.5")
    field.press("Enter")
    phone.sees("Pulley gap: 6.5 mm: within 5 mm to 7 mm. Good.")


def test_nothing_scrolls_sideways_at_320_px(phone):
    mechanic = Mechanic(phone, "road-double-10", "rear_cable", TOTAL)
    phone.page.set_viewport_size({"width": 320, "height": 640})
    mechanic.at(1, "Wheel seated")
    assert phone.page.evaluate(SIDEWAYS) == [0, 0]
    phone.tap("main_yes")
    mechanic.at(2, "Hanger straight")
    mechanic.type(40, 40, 30, 40)
    phone.sees("The four readings differ by 10 mm.")
    assert phone.page.evaluate(SIDEWAYS) == [0, 0]
