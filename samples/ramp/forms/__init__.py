"""Words typed on the ramp's pages. They are read by the same code as those from a phone."""

from samples.ramp.forms.closing import CloseForm, CountForm, ShiftForm
from samples.ramp.forms.fish import CorrectionForm, FishForm, said_by_fish
from samples.ramp.forms.held import (
    AsideForm,
    AsWrittenForm,
    BothWaitForm,
    KeepForm,
    NewWordsForm,
    OtherNumberForm,
    PasteForm,
    TakeInForm,
    TripForm,
    VialBackForm,
)
from samples.ramp.forms.party import PartyChangeForm, PartyForm, said_by_party
from samples.ramp.forms.said import SaidForm

__all__ = [
    "AsWrittenForm",
    "AsideForm",
    "BothWaitForm",
    "CloseForm",
    "CorrectionForm",
    "CountForm",
    "FishForm",
    "KeepForm",
    "NewWordsForm",
    "OtherNumberForm",
    "PartyChangeForm",
    "PartyForm",
    "PasteForm",
    "SaidForm",
    "ShiftForm",
    "TakeInForm",
    "TripForm",
    "VialBackForm",
    "said_by_fish",
    "said_by_party",
]
