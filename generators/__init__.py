"""The bench families: sizes in, a bench of members and joints out, and its solids."""
