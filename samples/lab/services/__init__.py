"""What happens at the lab: otoliths read, ages worked out and decided."""

from samples.lab.services.ages import decide_age, undo_decision, work_out_age, work_out_ages
from samples.lab.services.radii import set_radii
from samples.lab.services.readings import Saved, save_reading, take_back_reading
from samples.lab.services.refused import CannotDecide, CannotRead, CannotTakeBack, ReadingAsked

__all__ = [
    "CannotDecide",
    "CannotRead",
    "CannotTakeBack",
    "ReadingAsked",
    "Saved",
    "decide_age",
    "save_reading",
    "set_radii",
    "take_back_reading",
    "undo_decision",
    "work_out_age",
    "work_out_ages",
]
