"""Making the shaft, in words: the same for the commands, the window and the shop sheet."""
