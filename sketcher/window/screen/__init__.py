"""The window on a screen: where things stand, how they are drawn, the event loop."""
