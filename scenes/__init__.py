"""The scene file: its model, reading, writing, and the example scenes."""
