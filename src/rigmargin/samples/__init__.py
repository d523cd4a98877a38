"""Two invented rigs on which a new rule is tried when no others are named."""
