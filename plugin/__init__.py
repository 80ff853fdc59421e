"""Treenail: heavy workbenches as exact solids, with joints that are proved to fit."""
