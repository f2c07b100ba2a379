"""Forms of the ramp's pages. What is typed is read by the same code as what a phone sends."""

from samples.ramp.forms.closing import CloseForm, CountForm, ShiftForm
from samples.ramp.forms.entry import EntryForm
from samples.ramp.forms.fish import CorrectionForm, FishForm, initial_of_fish
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
from samples.ramp.forms.my_fish import MyFishForm, day_of
from samples.ramp.forms.party import PartyChangeForm, PartyForm, initial_of_party
from samples.ramp.forms.slip import SlipForm

__all__ = [
    "AsWrittenForm",
    "AsideForm",
    "BothWaitForm",
    "CloseForm",
    "CorrectionForm",
    "CountForm",
    "EntryForm",
    "FishForm",
    "KeepForm",
    "MyFishForm",
    "NewWordsForm",
    "OtherNumberForm",
    "PartyChangeForm",
    "PartyForm",
    "PasteForm",
    "ShiftForm",
    "SlipForm",
    "TakeInForm",
    "TripForm",
    "VialBackForm",
    "day_of",
    "initial_of_fish",
    "initial_of_party",
]
