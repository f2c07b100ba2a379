"""What is chosen on the pages of findings. It stands in the address, so a page can be shared."""

from samples.findings.forms.choice import AllSeasonsForm, ChoiceForm
from samples.findings.forms.limit import LimitForm

__all__ = ["AllSeasonsForm", "ChoiceForm", "LimitForm"]
