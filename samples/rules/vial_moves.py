"""What may happen to a vial, by where it stands, and what to do where something may not.

This is the one table of moves. States are those stored in `Vial.State`. A sentence is about
``{vial}``, the number as printed, and says ``{where}`` it is: "clearing in tray C-12".
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

PRINTED, ISSUED, USED = "printed", "issued", "used"
RECEIVED, CLEARING, READY, READ, ARCHIVED = "received", "clearing", "ready", "read", "archived"
LOST, VOID = "lost", "void"

_NOT_HERE = {
    **dict.fromkeys([PRINTED, ISSUED, USED], "{vial} is {where}, not received. Receive it first."),
    LOST: "{vial} is marked lost. If you have it in hand, receive it first.",
    VOID: "{vial} is void. Set it aside. Find a vial shows why and can return it to use.",
}


@dataclass(frozen=True, slots=True)
class Move:
    """One thing that happens to vials.

    Attributes
    ----------
    starts : frozenset of str
        The states in which it may happen.
    instead : mapping
        What to do in every other state, where one vial at a time is moved.
    """

    starts: frozenset[str]
    instead: Mapping[str, str] = field(default_factory=dict)

    def refusal(self, state: str, *, vial: str, where: str) -> str:
        """Return why it may not happen to a vial in this state; nothing if it may."""
        if state in self.starts:
            return ""
        return self.instead[state].format(vial=vial, where=where)


ISSUE = Move(frozenset({PRINTED}))
# Unused vials in somebody's hands: returned to the office, passed on to another person, or lost.
LEAVE_HANDS = Move(frozenset({ISSUED}))
# A vial that was looked for and turns up is received like any other.
RECEIVE = Move(frozenset({PRINTED, ISSUED, USED, LOST}))
CLEAR = Move(
    # Read before it is cleared once more for another reader.
    frozenset({RECEIVED, READY, READ}),
    {
        **_NOT_HERE,
        CLEARING: "{vial} is already {where}.",
        ARCHIVED: "{vial} is {where}. Take it out of its box first.",
    },
)
# A tray whose day has come.
MAKE_READY = Move(frozenset({CLEARING}))
ARCHIVE = Move(
    frozenset({RECEIVED, READY, READ}),
    {
        **_NOT_HERE,
        CLEARING: "{vial} is still {where}. Rinse and dry its tray first.",
        ARCHIVED: "{vial} is already {where}.",
    },
)
TAKE_OUT = Move(
    frozenset({ARCHIVED}),
    {
        **_NOT_HERE,
        **dict.fromkeys([RECEIVED, CLEARING, READY, READ], "{vial} is in no box: it is {where}."),
    },
)
