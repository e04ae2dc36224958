"""How the linkage carries the knuckle: closed forms, travel in reach, motion."""
