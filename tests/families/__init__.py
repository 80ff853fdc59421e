"""Every family at several sizes, through the whole of what Treenail does."""
