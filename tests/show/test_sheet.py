"""The hand-over sheet: self-contained, safe, complete, and printable on both papers."""

import re
from html.parser import HTMLParser

import pytest

from tunekit import Session, load_session
from tunekit.bike.starters import starter, starter_names
from tunekit.session import make_entry
from tunekit.session.samples import sample_paths
from tunekit.show.sheet import sheet_html

SESSIONS = {path.stem: load_session(path) for path in sample_paths()}
LARGEST = 500_000


class Page(HTMLParser):
    """Which elements and which references a page has."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.points_at: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.points_at += [value or "" for name, value in attrs if name in ("src", "href", "action", "data")]
        assert not [name for name, _ in attrs if name.startswith("on")]


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<style>.*?</style>|<[^>]+>", " ", text, flags=re.S))


@pytest.mark.parametrize("name", SESSIONS)
def test_a_sheet_is_one_small_page_without_scripts_or_references(name: str) -> None:
    text = sheet_html(SESSIONS[name])
    page = Page(text)
    assert len(text.encode()) < LARGEST
    assert not {"script", "iframe", "link", "img", "object", "form"} & set(page.tags)
    assert page.points_at == []
    assert "url(" not in text
    assert "@import" not in text


@pytest.mark.parametrize("name", SESSIONS)
def test_a_sheet_has_every_part(name: str) -> None:
    text = sheet_html(SESSIONS[name])
    for part in (
        "The bike",
        "Does it go together?",
        "Chain length",
        "Settings made",
        "Last checks",
        "Log",
        "Before you ride",
    ):
        assert f"<h2>{part}</h2>" in text
    assert "WARNING" in text
    assert "NOTICE" in text
    assert "leaflet" in text
    assert "<svg" in text
    assert "nan" not in plain(text).lower().split()
    assert "None" not in plain(text)


@pytest.mark.parametrize("name", starter_names())
def test_a_sheet_can_be_made_before_anything_is_logged(name: str) -> None:
    text = sheet_html(Session(bike=starter(name)))
    assert "Nothing logged yet." in text
    assert "Not finished." in text


def test_every_log_entry_stands_on_the_sheet() -> None:
    session = SESSIONS["05-marmalade-after-a-fall"]
    rows = re.search(r"<h2>Log</h2>(.*?)</section>", sheet_html(session), re.S)
    assert rows is not None
    assert rows.group(1).count("<tr>") == len(session.log) + 1


def test_the_turns_of_one_screw_are_added_up() -> None:
    session = Session(bike=starter("road-double-10"))
    for amount in (0.5, -0.25):
        session = session.with_entry(make_entry("turned", what="rear_barrel", amount=amount))
    assert "a quarter turn out, in 2 goes" in sheet_html(session)
    back = session.with_entry(make_entry("turned", what="rear_barrel", amount=-0.25))
    assert "back where it was, in 3 goes" in sheet_html(back)


def test_handed_over_only_when_every_last_check_is_answered_yes() -> None:
    done, open_ = SESSIONS["01-teapot-new-derailleur"], SESSIONS["02-biscuit-noisy-gear"]
    assert "Handed over: every last check is answered yes." in sheet_html(done)
    assert "Not finished." in sheet_html(open_)
    brakes = make_entry("measured", what="checked_brakes", value=0)
    assert "Not to be ridden" in sheet_html(done.with_entry(brakes))


def test_a_failure_to_fit_is_said_with_its_remedy() -> None:
    text = plain(sheet_html(SESSIONS["08-dandelion-does-not-fit"]))
    assert "It does not go together." in text
    assert "Remedy: a cassette whose largest cog is" in text


def test_users_words_are_escaped() -> None:
    hostile = "<script>alert(1)</script>\"'&<img src=x onerror=alert(2)>"
    session = Session(title=hostile, bike=starter("city-8")).with_entry(make_entry("noted", text=hostile))
    page = Page(sheet_html(session))
    assert not {"script", "img"} & set(page.tags)


def test_the_same_session_gives_the_same_sheet() -> None:
    session = SESSIONS["02-biscuit-noisy-gear"]
    assert sheet_html(session) == sheet_html(session)


def test_the_motor_s_cautions_stand_on_an_electronic_bike_s_sheet_only() -> None:
    assert "A motor moves the derailleur" in sheet_html(SESSIONS["09-moth-nothing-moves"])
    assert "A motor moves the derailleur" not in sheet_html(SESSIONS["02-biscuit-noisy-gear"])


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_sheet_prints_without_cutting_anything_off(paper: str, browser) -> None:
    """At the paper's printable width nothing reaches past the edge, and every page is of that paper."""
    width_px = {"A4": 210, "Letter": 215.9}[paper] - 28
    beyond = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    page = browser.new_page(viewport={"width": int(width_px * 96 / 25.4), "height": 1000})
    page.emulate_media(media="print")
    page.set_content(sheet_html(SESSIONS["01-teapot-new-derailleur"]))
    wide = page.evaluate(beyond)
    pdf = page.pdf(format=paper)
    page.set_viewport_size({"width": 360, "height": 800})
    page.emulate_media(media="screen")
    wide_on_a_phone = page.evaluate(beyond)
    page.close()
    assert wide <= 0
    assert wide_on_a_phone <= 0
    box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", pdf)
    assert box is not None
    assert [float(side) for side in box.groups()] == pytest.approx(
        {"A4": [595, 842], "Letter": [612, 792]}[paper], abs=2
    )
    assert 2 <= len(re.findall(rb"/Type\s*/Page\b", pdf)) <= 6
