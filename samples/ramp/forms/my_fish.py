"""What of their own fish a person wants to see, and in which order."""

from datetime import date
from typing import Any

from django import forms

from samples.form_parts import PlainForm
from samples.ramp.queries import ORDERS, OwnFish, OwnFishFound


class MyFishForm(PlainForm):
    """Order, species and year; what is not one of them is left out."""

    order = forms.ChoiceField(label="Order", choices=list(ORDERS.items()), required=False)

    def __init__(self, data: Any, *, fish: OwnFishFound) -> None:
        super().__init__(data)
        self.fields["species"] = _one_of("Species", "All species", fish.species)
        self.fields["year"] = _one_of("Year", "All years", fish.years)

    def choose(self, fish: OwnFishFound) -> OwnFishFound:
        """Return the fish that were asked for, in the order that was."""
        self.is_valid()
        asked = self.cleaned_data
        return fish.chosen(
            species=asked.get("species", ""),
            year=asked.get("year", ""),
            order=asked.get("order", ""),
        )


def _one_of(label: str, every: str, values: list[str]) -> forms.ChoiceField:
    choices = [("", every), *((value, value) for value in values)]
    return forms.ChoiceField(label=label, choices=choices, required=False)


def day_of(one: OwnFish) -> date | None:
    return date.fromisoformat(one["caught_on"]) if one["caught_on"] else None
