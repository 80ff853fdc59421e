"""Lengths and units, species, moisture, and the squared-up member with its faces."""
