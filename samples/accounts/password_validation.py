"""Refuses passwords made of words that anyone would try at this site first."""

import re
import unicodedata

from django.core.exceptions import ValidationError

from samples.models import Membership, User

WORDS = (
    *("earstone", "otolith", "crappie", "walleye", "saugeye", "sauger", "annulus", "annuli"),
    *("biologist", "password"),
)
# Signs that stand in for letters; 1 is read as l or i, so these are one letter here.
LETTERS = str.maketrans("0134578@$!|l", "oieastbasiii")
SHORTEST_OF_A_NAME = 5


class NoWordsOfTheSite:
    """Refuse a password with a word of the site, or of the name of the person's lakes."""

    def validate(self, password: str, user: User | None = None) -> None:
        """Raise ValidationError where such a word is in the password."""
        plain = _letters(password)
        for word in (*WORDS, *_words_of_lake_names(user)):
            if _letters(word) in plain:
                raise ValidationError(
                    f"Leave out “{word}”: people would guess it here. "
                    "Use other words, such as three that do not belong together.",
                    code="word_of_the_site",
                )

    def get_help_text(self) -> str:
        return "Leave out words of this site and your lake."


def _letters(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text).casefold().translate(LETTERS)
    return re.sub(r"[^a-z]", "", plain)


def _words_of_lake_names(user: User | None) -> list[str]:
    if user is None or user.pk is None:
        return []
    names = Membership.objects.filter(person=user).values_list("lake__name", flat=True)
    words = {word for name in names for word in re.findall(r"[^\W\d_]+", name)}
    return sorted(word for word in words if len(word) >= SHORTEST_OF_A_NAME)
