"""Fittings of benches on four posts: planing stop, vises, board jack, levelling feet."""
