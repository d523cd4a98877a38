"""What each command of the command line does. What it is called and what it takes stands in ``cli``."""
