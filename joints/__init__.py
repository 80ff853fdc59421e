"""Every joint: its numbers, the cuts it makes in each member, its rules and its cutters."""
