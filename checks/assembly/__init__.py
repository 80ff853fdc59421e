"""Whether and how a bench goes together: sub-assemblies, steps, swept moves, exploded places."""
