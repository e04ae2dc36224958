"""Outlines to and from other programs' files: DXF for cutting tables, SVG from drawings.

The modules here load their libraries where they are used: a window or a command
that exchanges nothing does not wait for them.
"""
