"""From a scene to everything that is shown of it."""
