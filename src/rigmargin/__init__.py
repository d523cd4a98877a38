"""rigmargin: which limit of a towing rig binds, by how much, and what is still unknown."""

__version__ = "0.1.0"
