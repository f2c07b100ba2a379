"""A budget of otoliths for the season, and how it is divided."""

from typing import Any

from django import forms

from samples.form_parts import PlainForm, TypedNumber

# No lab reads more in a season, and no more are divided.
MOST_OTOLITHS = 5_000
EXAMPLE = "Enter a whole number of otoliths, such as 300."
WAYS = [
    ("worth", "by worth"),
    ("equal", "equal numbers a bin"),
    ("abundance", "by the length sample"),
]


class BudgetForm(PlainForm):
    """How many otoliths can be read in the season, those read already among them."""

    budget = TypedNumber(
        label="Otoliths this season",
        needed=EXAMPLE,
        unreadable=EXAMPLE,
        min_value=1,
        max_value=MOST_OTOLITHS,
    )
    way = forms.ChoiceField(label="Divide", choices=WAYS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for code in ("min_value", "max_value"):
            self.fields["budget"].error_messages[code] = (
                f"Enter a number from 1 to {MOST_OTOLITHS:,}, such as 300."
            )

    @property
    def way_text(self) -> str:
        return dict(WAYS)[self.cleaned_data["way"]]

    def refuse_under(self, aged: int, in_hand: int) -> None:
        """Refuse a budget that is below what is read and in hand already."""
        have = aged + in_hand
        self.add_problem(
            "budget",
            f"{aged} are read and {in_hand} in hand. Enter at least {have}, such as "
            f"{(have // 50 + 1) * 50}.",
            code="under_what_is_in_hand",
        )
