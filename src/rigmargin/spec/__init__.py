"""Reading a rig file: text to positions, schema, units and a typed model. Knows nothing of loads or rules."""
