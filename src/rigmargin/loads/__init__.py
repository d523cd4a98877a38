"""From what a rig file states to the loads on every axle, coupling and tyre. Knows nothing of rules."""
