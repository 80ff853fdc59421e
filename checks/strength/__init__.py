"""Strong and steady: mass, tipping, sway, sag, posts, bolts and pegs, as estimates with sources."""
