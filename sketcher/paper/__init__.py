"""Paper: the shop sheet, templates, and the pages of pictures."""
