"""What a process of the web server loads before its first request, since loading holds up all."""

from importlib import import_module

from django.template.loader import get_template
from django.urls import get_resolver

# Arrays and estimators, but neither the drawing nor what fits models: those are the worker's.
MODULES = ("samples.findings.forms", "samples.findings.queries")


def load_pages() -> None:
    """Load addresses, what findings ask with, and the page that they are shown on."""
    _ = get_resolver().url_patterns
    for name in MODULES:
        import_module(name)
    for topic in import_module("samples.findings.topics").TOPICS.values():
        topic.load()
    import_module("samples.computations.results").program_version()
    get_template("findings/finding.html")
