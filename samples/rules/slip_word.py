"""The word on an angler's slip: with a vial's number it opens that fish's age, and nothing else.

It follows from the number and a key of the lake's own, so a clerk's phone can be told the words
of its vials beforehand and nothing is written when a slip is handed over.
"""

import hashlib
import hmac
import re

# Short, spelled as they are heard, and none like another on wet paper. Never reordered: slips last.
WORDS = (
    "acorn", "alder", "amber", "anchor", "apple", "arrow", "aspen", "badger", "banjo", "barley",
    "basket", "beacon", "beaver", "birch", "bison", "bobber", "bottle", "boulder", "bramble",
    "bridge", "bucket", "butter", "button", "cabin", "cactus", "camel", "candle", "canoe",
    "canyon", "carrot", "castle", "cedar", "cherry", "chimney", "cider", "clover", "cobalt",
    "comet", "copper", "coral", "cotton", "cougar", "cricket", "crystal", "daisy", "dolphin",
    "donkey", "dragon", "eagle", "elbow", "ember", "falcon", "feather", "fiddle", "finch",
    "flannel", "forest", "fossil", "garden", "garlic", "ginger", "granite", "gravel", "hammer",
    "harbor", "hazel", "heron", "hickory", "honey", "island", "ivory", "jacket", "jasper",
    "juniper", "kettle", "ladder", "lantern", "lemon", "lilac", "lizard", "magnet", "maple",
    "marble", "meadow", "mitten", "muffin", "mustard", "nickel", "nutmeg", "oatmeal", "onion",
    "orchard", "osprey", "otter", "paddle", "pebble", "pepper", "pickle", "pillow", "pocket",
    "prairie", "pumpkin", "quartz", "rabbit", "raven", "ribbon", "rocket", "saddle", "salmon",
    "sandal", "silver", "sparrow", "spruce", "summit", "sunset", "tackle", "thimble", "thunder",
    "timber", "tomato", "turtle", "velvet", "walnut", "willow", "window", "winter", "yellow",
    "zipper",
)  # fmt: skip
_BETWEEN = re.compile(r"[\s\-\u2010-\u2015\u2212_.,]+")


def slip_word(key: str, number: str) -> str:
    """Return the word of a vial, for example "cedar-heron"; without a key there is none."""
    if not key:
        return ""
    digest = hmac.digest(key.encode(), number.encode(), hashlib.sha256)
    first, second = (WORDS[byte % len(WORDS)] for byte in digest[:2])
    return f"{first}-{second}"


def is_slip_word(typed: str, key: str, number: str) -> bool:
    """Return whether a typed word is that of a vial, in the same time for every wrong one."""
    cleaned = "-".join(part for part in _BETWEEN.split(typed.strip().lower()) if part)
    right = slip_word(key or "no key", number)
    return hmac.compare_digest(cleaned.encode(), right.encode()) and bool(key)
