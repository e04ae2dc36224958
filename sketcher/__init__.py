"""The window and the commands: what the user sees and types; it holds no mechanics."""

__version__ = "0.1.0"
