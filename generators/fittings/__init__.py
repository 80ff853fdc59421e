"""Fittings of a bench: planing stop, vises, board jack, levelling feet."""
