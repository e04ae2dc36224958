"""The drawing: what the window, the exported pictures and the shop sheet show.

A picture is data first and painted second.

* ``picture``    the primitives a picture is made of, in world mm
* ``camera``     where on the screen or paper a world point lies
* ``style``      line kinds, widths and colours for each role, light and dark
* ``hitting``    which thing of the picture is under the pointer
* ``sketch``     front view and view from above of a scene at one position
* ``plots``      the column of plots over travel
* ``page``       pictures side by side
* ``surface``, ``svg``, ``pdf``   the painters

Nothing here needs a display, and nothing here works out any mechanics.
"""
