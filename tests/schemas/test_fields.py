"""Strict fields: bounds, types, and the same length in inches and millimetres."""

from typing import Any

import pytest
from marshmallow import ValidationError

from service.schemas.fields import Choice, Flag, Length, Text, Whole, show
from service.schemas.hints import LATER, near
from service.ticks import ticks


def code(field: Any, value: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        field.deserialize(value)
    return str(caught.value.messages[0].code)  # type: ignore[attr-defined, index]  # the messages hold our faults


@pytest.mark.parametrize(
    ("value", "said"), [("2", "wrong_type"), (True, "wrong_type"), (1.5, "wrong_type"), (0, "out_of_range"), (11, "out_of_range")]
)
def test_whole_refuses(value: Any, said: str) -> None:
    assert code(Whole(1, 10, "count"), value) == said


def test_whole_float_counts_as_a_count() -> None:
    assert Whole(1, 10, "count").deserialize(2.0) == 2


@pytest.mark.parametrize("value", [1, 0, "true", "yes"])
def test_flag_takes_only_true_and_false(value: Any) -> None:
    assert code(Flag("flag"), value) == "wrong_type"


@pytest.mark.parametrize("value", ["a\n", "", "a b", "x" * 9])
def test_text_refuses_what_does_not_fit_whole(value: str) -> None:
    assert code(Text("name", r"^[a-z]{1,8}$", 8), value) in ("bad_format", "out_of_range")


def test_choice_suggests_the_near_word() -> None:
    with pytest.raises(ValidationError) as caught:
        Choice(("gun", "hand"), "driver").deserialize("hnad")
    assert caught.value.messages[0].facts[LATER]() == {"did_you_mean": "hand"}  # type: ignore[attr-defined, index]  # the messages hold our faults


@pytest.mark.parametrize(("inch", "millimetre"), [(3, 76.2), (0.131, 3.3274), (97.125, 2466.975)])
def test_inches_and_millimetres_are_the_same_length(inch: float, millimetre: float) -> None:
    field = Length("in", 0, 1200, "length")
    _, twin = field.twin()
    assert twin.deserialize(millimetre) == field.deserialize(inch) == ticks(inch)


@pytest.mark.parametrize("value", ["y" * 200, "\n" * 64, "\x00\x1b", "\u2028" * 30])
def test_shown_value_is_short_and_printable(value: str) -> None:
    assert len(show(value)) <= 64
    assert show(value).isprintable()


def test_no_suggestion_where_nothing_is_near() -> None:
    assert near("trampoline", ["gun", "hand"]) == {}
