"""What phones of 0.1.0 send, and what they were answered. Both are kept as they were, for good."""

import json
from pathlib import Path

HERE = Path(__file__).parent
SENDINGS = json.loads((HERE / "corpus.json").read_text(encoding="utf-8"))["sendings"]
FINGERPRINTS = json.loads((HERE / "fingerprints.json").read_text(encoding="utf-8"))


def outcome_of(result):
    """Give what a phone acts on. The sentences may change: it shows them as they come."""
    return {
        "outcome": result["outcome"],
        "reason": result["reason"],
        "errors": sorted(result["errors"]),
    }
