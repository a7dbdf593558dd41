"""No text of a user is ever markup on a page."""

import json

import pytest
from markdown_it import MarkdownIt

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.pages.plain import plain
from tunekit.session import make_entry, session_to_text
from tunekit.session.store import Store

HOSTILE = [
    "![x](http://elsewhere.example/p.png)",
    "[tap me](http://elsewhere.example)",
    "<img src=http://elsewhere.example/x onerror=alert(1)>",
    "<script>fetch('http://elsewhere.example')</script>",
    "http://elsewhere.example/bare www.elsewhere.example a@elsewhere.example",
    "<http://elsewhere.example>",
    "`code` **bold** _it_ ~~gone~~ $x^2$ :red[red] :material/home: :smile:",
    "# heading",
    "1. one",
    "- item",
    "> quote",
    "a\n\n![x](http://elsewhere.example/p.png)\n\n| a | b |\n|---|---|",
    "[x]: http://elsewhere.example",
    "&lt;b&gt; \\[x](y)",
    "\x1b[31m\u202eevil",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_in_it_is_markup(text):
    """Read by a CommonMark parser with tables and struck text, as a page reads it."""
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    for line in (plain(text), f"- {plain(text)}", f"**{plain(text)}**"):
        tokens = [token for block in reader.parse(line) for token in (block, *(block.children or []))]
        kinds = {token.type for token in tokens}
        assert not kinds & {
            "image", "link_open", "html_inline", "html_block", "heading_open", "ordered_list_open", "table_open",
            "code_inline", "em_open", "s_open", "blockquote_open", "code_block", "fence",
        }, line  # fmt: skip
    assert "http:/" not in plain(text)
    assert "www." not in plain(text)


@pytest.mark.parametrize("text", ["Ann's bike, 28-622, 100 % (new)", "Zoë's 😀 Trekking-Rad", "a - b"])
def test_ordinary_names_stay_as_they_are(text):
    assert plain(text) == text


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_name_is_plain_on_the_start_page(app, text):
    store = Store()
    for _ in range(2):
        store.create(Session(title=text[:200], bike=starter("road-double-10")))
    app.run()
    labels = [button.label for button in app.at.button]
    assert [label for label in labels if plain(text) in label]
    assert not [label for label in labels if "](" in label.replace("\\]", "")]


def test_a_hostile_refusal_is_plain(app):
    said = json.dumps({"tunekit_session": HOSTILE[0]}).encode()
    app.at.file_uploader[0].upload("s.json", said, "application/json")
    app.run()
    assert "\\[x\\](http:\u2060//elsewhere" in app.at.error[0].value.replace("\\:", ":")


def test_a_session_that_a_file_brought_is_plain_in_its_preview(app):
    session = Session(
        title=HOSTILE[0], bike=starter("road-double-10"), log=(make_entry("noted", text=HOSTILE[2]),)
    )
    app.at.file_uploader[0].upload("s.json", session_to_text(session).encode(), "application/json")
    app.run()
    assert plain(HOSTILE[0]) in app.at.button(key="main_open_file").label
