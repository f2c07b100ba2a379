"""A frozen report as a file: one module a format, each reads the document and nothing else."""
