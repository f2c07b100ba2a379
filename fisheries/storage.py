"""Static files under names that change with their content."""

import re
from typing import Any

from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

OURS = "samples/"
# Comments that have lines of their own, and the space before a line. No text of ours in a
# script goes over a line's end, which a test watches.
LEFT_OUT = {
    ".js": re.compile(rb"^[ \t]*//[^\n]*\n|^[ \t]+", re.MULTILINE),
    ".css": re.compile(rb"/\*.*?\*/\s*|^[ \t]+", re.MULTILINE | re.DOTALL),
}


def lean(name: str, content: bytes) -> bytes:
    """Leave out of a script or style of ours what only its readers need.

    A phone fetches all of them before it may lose its signal.
    """
    for ending, left_out in LEFT_OUT.items():
        if name.startswith(OURS) and name.endswith(ending):
            return left_out.sub(b"", content)
    return content


class HashedStaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Also rename what ES modules import: a phone must never get a half-old page."""

    support_js_module_import_aggregation = True
    # A name is known once those of all that its file imports are, one step of the chain a pass.
    max_post_process_passes = 12

    def _save(self, name: str, content: Any) -> str:
        if name.startswith(OURS):
            content = ContentFile(lean(name, b"".join(content.chunks())))
        kept: str = super()._save(name, content)
        return kept
