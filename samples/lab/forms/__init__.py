"""Words typed on the lab's pages."""

from samples.lab.forms.deciding import (
    ConsensusRuleForm,
    DecideForm,
)
from samples.lab.forms.preparing import (
    FindVialForm,
    PreparationForm,
    SpoiledForm,
    StepForm,
)
from samples.lab.forms.reading import (
    LIGHTS,
    LONGEST_CHECK_NOTE,
    MARGINS_SHORT,
    METHODS,
    MORE,
    MOST_ANNULI,
    NEEDS,
    NO_RADIUS,
    READABLE,
    SIDES,
    CheckVialsForm,
    GridFilter,
    GridRowForm,
    MarksForm,
    ReadingForm,
    SessionMarksForm,
    preparation_name,
)

__all__ = [
    "LIGHTS",
    "LONGEST_CHECK_NOTE",
    "MARGINS_SHORT",
    "METHODS",
    "MORE",
    "MOST_ANNULI",
    "NEEDS",
    "NO_RADIUS",
    "READABLE",
    "SIDES",
    "CheckVialsForm",
    "ConsensusRuleForm",
    "DecideForm",
    "FindVialForm",
    "GridFilter",
    "GridRowForm",
    "MarksForm",
    "PreparationForm",
    "ReadingForm",
    "SessionMarksForm",
    "SpoiledForm",
    "StepForm",
    "preparation_name",
]
