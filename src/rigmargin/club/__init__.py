"""Many rigs at once: a folder of them judged, and what changed in it since. What is said of one rig is ``report``'s part."""
