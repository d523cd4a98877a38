"""What the Heron Touring Club asks of rigs on its tours: customs of the club, not limits of any maker."""

from rigmargin.judge.rule import at_most, hookimpl, nominal, rule


@rule(
    "heron/coupling-reserve",
    title="On the club's tours the coupling load keeps a tenth below the tow vehicle's limit",
    each="tow_vehicle",
    needs={"load": "coupling.vertical", "limit": ".max_coupling_load"},
    basis="Tour rules of the club, 2026: a custom of the club, not a limit of the maker.",
    quantity="The load on the coupling",
    limit_name="the club's coupling limit",
    why="Water and shopping move about on a tour, and the load on the coupling with them.",
    cures=("Take {excess} off the coupling: move what is heavy towards the trailer's axles.",),
    example="Limit 100 kg: the club allows 90 kg. A coupling load of 95 kg is over by 5 kg.",
)
def coupling_reserve(load, limit):
    """The vertical load on the coupling, against nine tenths of the tow vehicle's own limit."""
    return at_most(load, 0.9 * limit, notes=(f"90 % of {{mass:{nominal(limit)}}}.",))


@hookimpl
def rigmargin_rules():
    """The rules this plugin brings."""
    return [coupling_reserve]
