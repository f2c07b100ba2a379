"""Static files under names that change with their content."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedStaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Also rename what ES modules import: a phone must never get a half-old page."""

    support_js_module_import_aggregation = True
