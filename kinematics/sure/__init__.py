"""How far an answer can be trusted, given what the points were measured with."""
