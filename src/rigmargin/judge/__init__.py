"""Rules, the plugins that bring them, and the findings they give."""
