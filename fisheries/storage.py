"""Static files under names that change with their content."""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.files.base import ContentFile
from rcssmin import cssmin
from rjsmin import jsmin
from whitenoise.storage import CompressedManifestStaticFilesStorage

OURS = "samples/"
MINIFIERS: Mapping[str, Callable[[str], str]] = {".js": jsmin, ".css": cssmin}


def lean(name: str, content: bytes) -> bytes:
    """Leave out of a script or style of ours what only its readers need.

    A phone fetches all of them before it may lose its signal.
    """
    for ending, minify in MINIFIERS.items():
        if name.startswith(OURS) and name.endswith(ending):
            return minify(content.decode()).encode()
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
