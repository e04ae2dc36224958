"""The window: the sheet that moves, and everything behind it.

* ``model``    the scene, its history, what changes it, and what is kept of unsaved work
* ``steps``    the work order: which fields and commands there are, and what they say
* ``screen``   widgets, painting, dialogs, and the event loop

The first two know nothing of a screen.
"""
