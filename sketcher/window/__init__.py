"""The window: the sheet that moves, and everything behind it.

* ``document``, ``edits``, ``keys``   the scene, its history, and what changes it
* ``autosave``, ``files``             what stays when the machine does not
* ``live``                            what is shown for a scene at one position
* ``layout``, ``theme``               where things stand and how they look
* ``sheet``, ``strip``, ``readout``, ``panel``, ``dialogs``   the parts of the screen
* ``gestures``                        what the pointer does
* ``app``                             the event loop

The first two lines know nothing of a screen.
"""
