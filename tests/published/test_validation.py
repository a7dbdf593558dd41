"""The VALIDATION table is made from the rows that the tests run, and DEVELOPERS.md holds the present one."""

import pytest
import validation
from published import Published


def test_the_table_in_the_document_is_this_checkouts() -> None:
    text = validation.DOCUMENT.read_text(encoding="utf-8")
    assert text == validation.updated(text), "run: python tests/published/validation.py --write"


def test_every_row_holds_and_says_whose_it_is() -> None:
    rows = [row for module in validation.modules() for row in module.ROWS]
    assert len(rows) >= 70
    assert all(row.holds and row.source for row in rows)
    assert len({(row.quantity, row.published, row.source) for row in rows}) == len(rows)
    assert any(row.misprint for row in rows)


def test_a_wrong_value_and_a_right_misprint_are_caught() -> None:
    wrong = Published(quantity="q", ours=lambda: 1.0, published=2.0, tol=0.5, source="s", status="seen")
    assert not wrong.holds
    with pytest.raises(AssertionError, match=r"q: 1.0 must agree with 2.0 ± 0.5 \(s\)"):
        wrong.hold()
    agreed = Published(
        quantity="q", ours=lambda: 2.0, published=2.0, tol=0.5, source="s", status="seen", misprint=True
    )
    assert not agreed.holds


def test_a_document_without_markers_is_told_what_it_needs() -> None:
    with pytest.raises(ValueError, match="must hold <!-- validation:begin -->"):
        validation.updated("# Developers\n")


def test_writing_twice_changes_nothing() -> None:
    once = validation.updated(f"a\n{validation.BEGIN}\nold\n{validation.END}\nb\n")
    assert validation.updated(once) == once
    assert once.startswith("a\n")
    assert once.endswith("\nb\n")
