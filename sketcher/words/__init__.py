"""The sentences: the same for commands, window and paper."""
