"""Renders tables for the page and as files, and the data of plots as a file."""
