"""Nets: what to set where, the sheet for the crew, and what was set and caught."""
