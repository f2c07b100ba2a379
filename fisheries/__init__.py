"""The Django project of Earstone. The version stands here, and nowhere else."""

__version__ = "0.1.0"
