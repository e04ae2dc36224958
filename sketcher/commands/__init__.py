"""The commands: one module each, which adds its own arguments and runs itself."""
