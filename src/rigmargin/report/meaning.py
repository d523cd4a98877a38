"""What a verdict does not mean: what its reader is most often tempted to conclude from it, by verdict.

Common misunderstandings of people who tow; none of it is law, and none of it changes a verdict.
"""

from __future__ import annotations

#: Plain sentences.
NOT_MEANT = {
    "over": "That it has travelled like this before raises no limit. Nor do springs, air bags, a stronger hitch or better "
    "{words:tyre}: each raises at most its own.",
    "unmet": "That another requirement is met, or that nobody has asked for this one so far, does not meet it.",
    "outside_band": "That each limit of mass is kept does not bring it inside its band, and its band is no limit of mass.",
    "rule_failed": "Nothing was found out: neither that this limit is kept nor that it is passed.",
    "conflict": "Neither figure is shown to be the wrong one, and the larger limit is not the one to go by.",
    "too_close": "It is neither kept nor passed as far as these figures tell. The figure that looks better is not truer.",
    "not_checked": "Nothing is said of this: it may be kept or passed.",
    "at_limit": "Nothing is left: a tank that fills or one more bag passes it.",
    "within": "It holds for this loading and these figures. It says nothing of the other limits, nor of how the rig handles, "
    "brakes or wears.",
}
