"""What the tests of pages share."""

from django.utils.html import strip_tags

from samples.models import Target
from tests.targets.fish import INCH


def text(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


def want(season, species, inches, wanted, arm=None):
    Target.objects.create(
        season=season,
        species=species,
        arm=arm,
        from_hundredths_mm=inches * INCH,
        below_hundredths_mm=(inches + 1) * INCH,
        wanted=wanted,
    )
