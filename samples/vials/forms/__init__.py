"""Words typed on the pages of labels and vials."""

from samples.vials.forms.labels import (
    MakeLabels,
    NumberWidth,
    PlannedForm,
    Reprint,
    VoidNumbers,
    is_own,
)
from samples.vials.forms.moving import (
    USUAL_CONTENT,
    ChangeContent,
    FindVial,
    IssueVials,
    MarkVial,
    ReceiveVial,
)
from samples.vials.forms.stocks import MeasuredStock, PrinterNudge, unsaved_stock

__all__ = [
    "USUAL_CONTENT",
    "ChangeContent",
    "FindVial",
    "IssueVials",
    "MakeLabels",
    "MarkVial",
    "MeasuredStock",
    "NumberWidth",
    "PlannedForm",
    "PrinterNudge",
    "ReceiveVial",
    "Reprint",
    "VoidNumbers",
    "is_own",
    "unsaved_stock",
]
