"""What the shop does: cut list, stock plan, milling, machine setups and glue-up."""
