"""Every table of Earstone, one file per noun."""

from samples.models.age import CONCLUDED, Age, AgeAsGiven, AgeDecision
from samples.models.ask import LONGEST_ENOUGH, LONGEST_WORDS, Ask, AskedFish
from samples.models.computation import Computation, StoredResult
from samples.models.donor import LONGEST_MESSAGE, DonorAddress, DonorMail, DonorMessage
from samples.models.entry import Entry, EntryKind, HeldEntry
from samples.models.fish import Fish, Progress, Sex, ToldBy
from samples.models.label import LabelPrint, LakeStock, PartSheet
from samples.models.lake import Arm, Lake, NumberYear, Reach, Regulation, Season
from samples.models.marks import MarkedRadius
from samples.models.nets import MOST_PLANNED_SETS, NET_METHODS, LengthCount, PlannedSets
from samples.models.party import Donor, HowChosen, Method, Party, Preservation, UnmeasuredCount
from samples.models.photo import PHOTOS_FOLDER, Photo
from samples.models.picture import (
    PICTURES_FOLDER,
    TILES_FOLDER,
    Objective,
    Picture,
    PictureScale,
)
from samples.models.preparation import STEPS, Preparation, PreparationStep, SectionRequest
from samples.models.progress import (
    find_stale_progress,
    out_of_dried_trays,
    progress_of,
    refresh_progress,
    state_before,
)
from samples.models.rates import CreelFigures, NaturalDeath, ReleaseDeath, TagReturns
from samples.models.reading import (
    LengthSeen,
    Margin,
    Radius,
    Readability,
    Reading,
    without_reference,
)
from samples.models.reading_session import (
    LEAST_SECOND_PERCENT,
    MOST_SECOND_PERCENT,
    USUAL_SECOND_PERCENT,
    OtolithOutcome,
    ReadingSession,
    ReadingStream,
    ReadMethod,
    ReferenceKind,
    ReferenceOtolith,
    SecondReadingDraw,
    SecondReadingPlan,
    SecondReadingRequest,
    SessionOtolith,
    SessionPurpose,
)
from samples.models.revision import (
    SHARED,
    Revision,
    atomic_with_revision,
    note_lakes,
    read_revision,
)
from samples.models.saved_view import SavedView
from samples.models.security import OpenSession, SecurityEvent
from samples.models.species import LakeGroup, LakeSpecies, Species, SpeciesGroup
from samples.models.storage import ClearingMedium, ClearingTray, TrayPlace
from samples.models.target import Target
from samples.models.user import Membership, PersonalLink, Phone, User
from samples.models.vial import (
    OUT_OF_USE,
    WITHOUT_AN_OTOLITH,
    ArchiveBox,
    LabelRun,
    Printer,
    Vial,
    with_an_otolith_to_read,
)

__all__ = [
    "CONCLUDED",
    "LEAST_SECOND_PERCENT",
    "LONGEST_ENOUGH",
    "LONGEST_MESSAGE",
    "LONGEST_WORDS",
    "MOST_PLANNED_SETS",
    "MOST_SECOND_PERCENT",
    "NET_METHODS",
    "OUT_OF_USE",
    "PHOTOS_FOLDER",
    "PICTURES_FOLDER",
    "SHARED",
    "STEPS",
    "TILES_FOLDER",
    "USUAL_SECOND_PERCENT",
    "WITHOUT_AN_OTOLITH",
    "Age",
    "AgeAsGiven",
    "AgeDecision",
    "ArchiveBox",
    "Arm",
    "Ask",
    "AskedFish",
    "ClearingMedium",
    "ClearingTray",
    "Computation",
    "CreelFigures",
    "Donor",
    "DonorAddress",
    "DonorMail",
    "DonorMessage",
    "Entry",
    "EntryKind",
    "Fish",
    "HeldEntry",
    "HowChosen",
    "LabelPrint",
    "LabelRun",
    "Lake",
    "LakeGroup",
    "LakeSpecies",
    "LakeStock",
    "LengthCount",
    "LengthSeen",
    "Margin",
    "MarkedRadius",
    "Membership",
    "Method",
    "NaturalDeath",
    "NumberYear",
    "Objective",
    "OpenSession",
    "OtolithOutcome",
    "PartSheet",
    "Party",
    "PersonalLink",
    "Phone",
    "Photo",
    "Picture",
    "PictureScale",
    "PlannedSets",
    "Preparation",
    "PreparationStep",
    "Preservation",
    "Printer",
    "Progress",
    "Radius",
    "Reach",
    "ReadMethod",
    "Readability",
    "Reading",
    "ReadingSession",
    "ReadingStream",
    "ReferenceKind",
    "ReferenceOtolith",
    "Regulation",
    "ReleaseDeath",
    "Revision",
    "SavedView",
    "Season",
    "SecondReadingDraw",
    "SecondReadingPlan",
    "SecondReadingRequest",
    "SectionRequest",
    "SecurityEvent",
    "SessionOtolith",
    "SessionPurpose",
    "Sex",
    "Species",
    "SpeciesGroup",
    "StoredResult",
    "TagReturns",
    "Target",
    "ToldBy",
    "TrayPlace",
    "UnmeasuredCount",
    "User",
    "Vial",
    "atomic_with_revision",
    "find_stale_progress",
    "note_lakes",
    "out_of_dried_trays",
    "progress_of",
    "read_revision",
    "refresh_progress",
    "state_before",
    "with_an_otolith_to_read",
    "without_reference",
]
