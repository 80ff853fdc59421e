"""What leaves for the shop: STEP, DXF templates, drawings and the shop book."""
