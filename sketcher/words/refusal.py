"""What is asked for and cannot be done, in one line."""

from __future__ import annotations


class Refused(Exception):
    """Something that cannot be done as asked; the text says in one line what would be right."""
