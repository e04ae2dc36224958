"""The mechanics: pure functions over arrays, no files, no window, no printing.

Frame, signs and units are stated once here and referred to everywhere else.

A point is ``(out, up, fore)`` in millimetres: ``out`` outboard from the car's
centreline, ``up`` above a level floor with the car at ride height, ``fore``
forward of a fixed plumb line.  The triad (out, up, fore) is right-handed on the
left side of the car; the right side uses the same formulas as a mirror image.

Fields of inputs are named as in the scene file (mm and degrees).  Fields of
results carry their unit in their name.  Radians live inside functions only.
"""
