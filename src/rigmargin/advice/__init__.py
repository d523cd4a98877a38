"""What to do about a judged rig: room left, what clears a finding, what to learn next. Judges by the engine only."""
