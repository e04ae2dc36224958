"""What one corner's shaft does: plunge, angles, length window, whole motion, placement."""
