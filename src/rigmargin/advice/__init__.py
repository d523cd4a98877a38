"""What to do about a judged rig: how much room is left, what clears a finding, what to learn next. Judges by the engine only."""
