"""Whatever values or text a sheet may hold, what comes of it is a sheet or a ``SheetError``."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from silhouette.asked.faults import SheetError
from silhouette.asked.reading import from_plain, read_text
from silhouette.asked.sheet import PARAMETERS, SECTIONS, Sheet
from tests.asked.sheets import faults
from tests.clients import plain_sheet


@pytest.mark.parametrize("plain", [[], 3, None, "girths", [plain_sheet()]])
def test_what_is_no_table_at_all(plain: Any) -> None:
    assert set(faults(plain)) == {"sheet"}


def test_deep_and_odd_values_are_refused_not_followed() -> None:
    deep: Any = 1
    for _ in range(100_000):
        deep = [deep]
    assert len(faults(plain_sheet(girths={"waist": deep}, client={"name": deep}, pads={"profile": deep}))) == 3
    assert len(faults(plain_sheet(girths={"waist": 10**5000}, client={"size": -(10**5000)}))) == 2
    assert len(faults({**plain_sheet(), "x" * 5000: 1, "line\nend": 2, 3: 4, "": 5})) == 4
    while isinstance(deep, list) and deep:  # taken apart by hand: the interpreter would do it recursively
        deep = deep.pop()


PLAIN: st.SearchStrategy[Any] = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.dates()
    | st.sampled_from(["38 1/2 in", "97 cm", 10**400, "in", "cm", 31, 42.0, "straight"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from([*SECTIONS, "left", "right", "unit", *(k.split(".")[1] for k in PARAMETERS)])
            | st.text(max_size=6),
            inner,
            max_size=6,
        )
    ),
    max_leaves=25,
)


@given(
    st.dictionaries(st.sampled_from([*SECTIONS, "unit", "fitted"]) | st.text(max_size=5), PLAIN, max_size=8) | PLAIN,
    st.booleans(),
)
@example({"girths": {"waist": 10**400, "hip": "42 in"}, "pads": {"left": 3}}, False)
def test_any_plain_values_give_a_sheet_or_a_sheet_error(plain: Any, sound: bool) -> None:
    if sound and isinstance(plain, dict):
        plain = {**plain, "unit": "in", "girths": {"waist": 31, "hip": 42}}
    try:
        assert isinstance(from_plain(plain), Sheet)
    except SheetError as error:
        assert error.faults
        assert all(fault.place and fault.message and "\n" not in str(fault) for fault in error.faults)


@given(st.text(max_size=200) | st.text("[]=\"'.,#\n 0123456789abcunit{}-½“", max_size=80))
def test_any_text_gives_a_sheet_or_a_sheet_error(text: str) -> None:
    try:
        read_text(text)
    except SheetError as error:
        assert error.faults
