"""What a user wrote, on a page: nothing in it is markup, nothing in it becomes a link.

Streamlit reads every text as Markdown. `plain` is the one way by which a name, a note, a plan's label or the
sentence of a refusal (which quotes what was typed) reaches a page.
"""

import re

import streamlit as st

from tunekit.bike import TunekitError
from tunekit.bike.errors import clean

_MARKUP = re.compile(r"[\\`*\[\]<>~$&]|(?<!\w)_|_(?!\w)")
"""Signs that mean something anywhere in a line of Markdown, and in the framework's own additions to it."""
_BEGINS = re.compile(r"^(\d*)([-+#=|.)])")
"""What makes a list, a heading or a table of a line when it stands first."""
_LINKS = re.compile(r"(https?:|ftp:|www|@|:(?=\S))", re.IGNORECASE)
_JOINER = "\u2060"
"""Word joiner: not seen, and no address holds one, so that a bare address is not made a link."""


def plain(text: object) -> str:
    """A user's words inside Markdown, on one line."""
    one_line = clean(" ".join(str(text).split()))
    unlinked = _LINKS.sub(rf"\1{_JOINER}", one_line)
    return _BEGINS.sub(r"\1\\\2", _MARKUP.sub(r"\\\g<0>", unlinked))


def refuse(problem: TunekitError | str) -> None:
    """Show the sentence of a refusal where the answer would stand."""
    st.error(plain(problem))
