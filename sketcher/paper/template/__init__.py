"""Full-size templates of a bracket's outline: what is on them, their pages, SVG and PDF.

Coordinates on a sheet are mm on paper from its lower left.
"""
