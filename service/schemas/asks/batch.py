"""What a batch may say: items with their own ids, and defaults that they share."""

from typing import Any

from marshmallow import Schema

from service.schemas.fields import Choice, Items, Named, Strict, Text

MOST_ITEMS = 100_000
"""Bound of the contract; the setting in force is lower."""
BESIDE = ("units", "include")
ITEM = {"id": "a"}
"""What is shown where an item is no object; what else it holds is that of the single question."""
ITEM_ID = Text("Name of the item.", r"^[A-Za-z0-9._-]{1,64}$", 64)


def batch_ask(name: str, **more: Any) -> Schema:
    """Return the request shape of a batch; `more` are fields beside the items.

    Items are checked one by one, so that one bad item fails alone; the contract shows their shapes beside it.
    """
    made: Any = Strict.from_dict(
        {
            "defaults": Named(
                metadata={
                    "description": "Fields that every item takes unless it sends its own; a key in the item replaces the whole value."
                }
            ),
            "items": Items(Named(example=ITEM), MOST_ITEMS, "Questions, each with its own id.", 1, required=True),
            "units": Choice(("us", "metric"), "metric adds twins."),
            "on_error": Choice(("continue", "fail"), "fail: one bad item makes the call 422."),
            **more,
        },
        name=name,
    )
    made.example = {"items": [ITEM]}
    asked: Schema = made()
    return asked


def item_shape(item: type[Strict], name: str) -> Schema:
    """Return the shape of a batch item: an id, and what of a question the defaults do not give."""
    shape = defaults_shape(item, name)
    shape.fields["id"] = Text("Name of the item.", ITEM_ID.metadata["pattern"], 64, required=True)
    shape.declared_fields["id"] = shape.fields["id"]
    return shape


def defaults_shape(item: type[Strict], name: str) -> Schema:
    """Return the shape of a batch's defaults: every field of a question, none required."""
    made = item.from_dict({}, name=name)
    for name_beside in BESIDE:
        made._declared_fields.pop(name_beside, None)
    shape = made()
    for field in shape.fields.values():
        field.required = False
    return shape
