"""The window without a screen: the scene, its history, and what changes it."""
