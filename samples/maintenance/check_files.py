"""Look over files: photos of fish and pictures of otoliths, and what no row names."""

from collections.abc import Iterator
from datetime import datetime

from samples.maintenance.finding import Finding, count_of, few, find_rows
from samples.maintenance.photos import photos_without_file, stray_photos
from samples.maintenance.pictures import (
    pictures_of_other_lakes,
    pictures_without_files,
    stray_picture_files,
)
from samples.maintenance.reports import stray_report_files


def check_files() -> Iterator[Finding]:
    """Yield photos and pictures whose file is gone or is another than was kept."""
    yield from _photos()
    yield from _pictures()


def check_stray_files(now: datetime) -> Iterator[Finding]:
    """Yield files that no row names, such as a stopped server leaves."""
    photos = tuple(stray_photos(now))
    if photos:
        yield Finding(
            "file_without_photo",
            f"{count_of(len(photos), 'file', 'files')} among the photos "
            f"{'belongs' if len(photos) == 1 else 'belong'} to no fish: {few(photos)}. "
            "Delete with: manage.py check_data --delete-stray-photos",
            photos,
        )
    reports = tuple(stray_report_files(now))
    if reports:
        yield Finding(
            "file_without_report",
            f"{count_of(len(reports), 'file', 'files')} among the reports "
            f"{'belongs' if len(reports) == 1 else 'belong'} to no draft: {few(reports)}. "
            "Delete with: manage.py check_data --delete-stray-reports",
            reports,
        )
    pictures = tuple(stray_picture_files(now))
    if pictures:
        yield Finding(
            "file_without_picture",
            f"{count_of(len(pictures), 'file', 'files')} among the pictures "
            f"{'belongs' if len(pictures) == 1 else 'belong'} to no picture: {few(pictures)}. "
            "Delete with: manage.py check_data --delete-stray-pictures",
            pictures,
        )


def _photos() -> Iterator[Finding]:
    missing, changed = photos_without_file()
    if missing:
        yield Finding(
            "photo_without_file",
            f"{count_of(len(missing), 'photo has', 'photos have')} no file (fish ids "
            f"{few(missing)}). Bring uploads back from a backup.",
            missing,
        )
    if changed:
        yield Finding(
            "photo_changed",
            f"{count_of(len(changed), 'photo is', 'photos are')} not as received (fish ids "
            f"{few(changed)}). Bring uploads back from a backup.",
            changed,
        )


def _pictures() -> Iterator[Finding]:
    missing, changed = pictures_without_files()
    if missing:
        yield Finding(
            "picture_without_file",
            f"{count_of(len(missing), 'picture lacks', 'pictures lack')} a file (ids "
            f"{few(missing)}). Bring uploads back from a backup.",
            missing,
        )
    if changed:
        yield Finding(
            "picture_changed",
            f"{count_of(len(changed), 'picture is', 'pictures are')} not as kept (ids "
            f"{few(changed)}). Bring uploads back from a backup.",
            changed,
        )
    yield from find_rows(
        "picture_of_other_lake",
        pictures_of_other_lakes(),
        "picture has",
        "pictures have",
        "a vial, objective or scale of another lake or objective",
        "Choose them again.",
    )
