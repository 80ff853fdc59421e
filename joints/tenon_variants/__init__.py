"""The tenon's kin: twin, double, wedged, tusk, dovetailed and round; and their pegs.

``make`` has a function for each that needs few arguments.
"""
