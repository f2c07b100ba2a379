"""Why something about a picture is not done, in sentences fit to show."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CannotKeepPicture(Exception):
    """Why a file is not kept."""

    code: str
    sentence: str

    def __str__(self) -> str:
        return self.sentence


@dataclass(frozen=True, slots=True)
class CannotChangePicture(Exception):
    """Why a picture stays as it is, and the field that it is about."""

    code: str
    field: str | None
    sentence: str

    def __str__(self) -> str:
        return self.sentence
