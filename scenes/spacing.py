"""Blank lines of a changed file: those of the user stay, what is added stands apart by one."""

from __future__ import annotations

import difflib

_QUOTES = ('"""', "'''")


def spaced(original: str, changed: str) -> str:
    """The changed text with its additions set off by one blank line, and no line moved else.

    Additions take the original's line ends.
    """
    newline = "\r\n" if "\r\n" in original else "\n"
    old, new = original.splitlines(keepends=True), changed.splitlines(keepends=True)
    lines: list[str] = []
    matcher = difflib.SequenceMatcher(None, old, new, autojunk=False)
    for tag, old_from, old_to, new_from, new_to in matcher.get_opcodes():
        if tag == "equal":
            lines += new[new_from:new_to]
            continue
        added = [line.rstrip("\r\n") + newline for line in new[new_from:new_to]]
        removed = old[old_from:old_to]
        before_header = new_to < len(new) and new[new_to].startswith("[")
        if any(quotes in line for line in (*added, *removed) for quotes in _QUOTES):
            lines += added
        elif any(map(str.strip, added)):
            lines += _once_blank(added, follows_blank=bool(lines) and not lines[-1].strip())
            adds_table = any(line.startswith("[") for line in added)
            if adds_table and before_header and lines[-1].strip():
                lines.append(newline)
        elif before_header and removed and not removed[-1].strip() and lines and lines[-1].strip():
            # The blank line that set off what is gone sets off what follows.
            lines.append(newline)
    return "".join(lines)


def _once_blank(added: list[str], *, follows_blank: bool) -> list[str]:
    kept: list[str] = []
    for line in added:
        blank = not line.strip()
        if not (blank and follows_blank):
            kept.append(line)
        follows_blank = blank
    return kept
