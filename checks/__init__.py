"""The validation layer: fits, clearances, collisions, movement, strength and assembly order."""
