"""One judged rig as terminal text, Markdown, HTML and JSON. No arithmetic on loads happens here."""
