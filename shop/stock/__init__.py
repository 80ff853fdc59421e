"""The stock plan: which boards of the rack, cut how, for every rough piece."""
