"""Published schemas, made by `python -m treenail.generators.schema`."""
