"""How far turned bodies stay from prisms, and what of a prism has to go."""
