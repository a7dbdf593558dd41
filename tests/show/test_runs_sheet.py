"""The run sheet and its drawing: whole, self-contained, escaped, and nothing covers anything."""

import re
from html.parser import HTMLParser
from itertools import combinations
from math import dist
from xml.etree import ElementTree

import pytest

from tunekit.runs import RunPlan, plan_runs, starter_frames, starter_plan
from tunekit.show.runs_drawing import WIDTH, runs_drawing, runs_svg
from tunekit.show.runs_sheet import runs_html
from tunekit.show.runs_tap import tap_frame, tap_svg
from tunekit.show.text.columns import WIDTH as COLUMNS
from tunekit.show.text.runs import runs_text

BOTH = ["electronic", "cable"]


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))


@pytest.mark.parametrize("actuation", BOTH)
@pytest.mark.parametrize("name", starter_frames())
def test_the_sheet_holds_every_part_run_step_tag_and_caution(name: str, actuation: str) -> None:
    plan = starter_plan(name, actuation)
    sheet = plan_runs(plan)
    html = runs_html(plan, sheet)
    said = [line.name for line in sheet.parts] + [step.command for step in sheet.pulling]
    said += (
        [tag.text for tag in sheet.tags] + list(sheet.tests) + [caution.text for caution in sheet.cautions]
    )
    said += [wire.stow for wire in sheet.wires]
    for words in said:
        assert words.replace("'", "&#39;") in html, words


def test_the_sheet_needs_nothing_from_outside_and_runs_nothing() -> None:
    plan = starter_plan("time_trial")
    html = runs_html(plan, plan_runs(plan))
    parser = Tags()
    parser.feed(html)
    assert not {tag for tag, _ in parser.seen} & {"script", "link", "img", "iframe", "object"}
    names = {name for _, attributes in parser.seen for name in attributes}
    assert not [name for name in names if name.startswith("on") or name in ("src", "href")]
    assert "url(" not in html
    assert len(html.encode()) < 200_000


def test_words_of_the_user_are_text_and_never_markup() -> None:
    raw = starter_plan("road").model_dump()
    evil = "<script>alert('&')</script>"
    raw["title"], raw["devices"][0]["name"], raw["points"][0]["label"] = evil, evil, evil
    plan = RunPlan.build(**raw)
    html = runs_html(plan, plan_runs(plan))
    assert "<script" not in html
    assert "&lt;script&gt;" in html
    ElementTree.fromstring(runs_svg(plan, plan_runs(plan)))


@pytest.mark.parametrize("actuation", BOTH)
@pytest.mark.parametrize("name", starter_frames())
def test_every_run_has_its_label_and_length_on_the_drawing_and_none_covers_another(
    name: str, actuation: str
) -> None:
    plan = starter_plan(name, actuation)
    sheet = plan_runs(plan)
    drawing = runs_drawing(plan, sheet)
    texts = {text.text for text in drawing.texts}
    for wire in sheet.wires:
        assert f"{wire.label} {wire.length_mm:g}" in texts
    for piece in (piece for cable in sheet.cables for piece in cable.pieces):
        assert f"{piece.label} {piece.length_mm:.0f}" in texts
    for text in drawing.texts:
        (x, y), (w, h) = text.at, text.half
        assert w <= x <= WIDTH - w, text
        assert h <= y <= drawing.height - h, text
    labels = [text for text in drawing.texts if text.kind == "run"]
    for n, one in enumerate(labels):
        for other in labels[:n]:
            apart_x = abs(one.at[0] - other.at[0]) - one.half[0] - other.half[0]
            apart_y = abs(one.at[1] - other.at[1]) - one.half[1] - other.half[1]
            assert max(apart_x, apart_y) >= -1e-6, (one, other)


def test_a_point_without_coordinates_still_gets_a_place() -> None:
    raw = starter_plan("road").model_dump()
    raw["points"] += ({"name": "rack"},)
    raw["sections"] += ({"between": ("seat_tube", "rack"), "mm": 150.0},)
    raw["devices"] += ({"name": "lamp button", "kind": "button", "at": "rack"},)
    plan = RunPlan.build(**raw)
    assert "lamp button" in runs_svg(plan, plan_runs(plan))


@pytest.mark.parametrize("name", starter_frames())
def test_the_frame_to_tap_carries_every_section_and_point_apart_enough_for_a_finger(name: str) -> None:
    plan = starter_plan(name)
    frame = tap_frame(plan, ("point", "stem"))
    keys = [mark.key for mark in frame.marks]
    assert sorted(keys) == sorted(
        [("section", *s.between) for s in plan.sections] + [("point", p.name) for p in plan.points]
    )
    assert [mark.key for mark in frame.marks if mark.chosen] == [("point", "stem")]
    spots = [mark.at for mark in frame.marks]
    # On a phone 1000 units are 336 px; a tap takes the nearest mark, so 16 px between centres tell two apart.
    assert min(dist(a, b) for a, b in combinations(spots, 2)) * 336 / 1000 > 16
    ElementTree.fromstring(tap_svg(frame))


@pytest.mark.parametrize("actuation", BOTH)
def test_the_shell_gets_the_same_within_its_width(actuation: str) -> None:
    sheet = plan_runs(starter_plan("time_trial", actuation))
    text = runs_text(sheet)
    assert max(map(len, text.splitlines())) <= COLUMNS
    for wire in sheet.wires:
        assert re.search(rf"^{wire.label} +{wire.need_mm} +{wire.length_mm:g}", text, re.MULTILINE)
    for cable in sheet.cables:
        assert f"{cable.label} {cable.name}" in text
