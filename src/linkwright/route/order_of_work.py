"""The order of work that no route may break: nothing is heated after the proof.

`require_proof_last` refuses a route in which chain is heated after its proof force and not
proved again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from linkwright.quantities import CannotPlan

if TYPE_CHECKING:
    from linkwright.route.walk import Place, Route


def require_proof_last(route: Route) -> None:
    """Raise `CannotPlan` naming both places if chain is heated after it was proved.

    A heat that is followed by another proof of the same chain is let pass.
    """
    behind = _behind(route)
    proofs = [place for place in route.places if place.operation.proves]
    for place in route.places:
        if not place.operation.heats:
            continue
        before = [proof for proof in proofs if proof.key in behind[place.key]]
        again = any(place.key in behind[proof.key] for proof in proofs)
        if before and not again:
            raise _refused(place, before[-1])


def _behind(route: Route) -> dict[str, set[str]]:
    """For each place, the keys of all places whose metal came to it."""
    behind: dict[str, set[str]] = {}
    for place in route.places:
        behind[place.key] = set()
        for earlier in place.feeds.values():
            behind[place.key] |= {earlier} | behind.get(earlier, set())
    return behind


def _refused(hot: Place, proof: Place) -> CannotPlan:
    return CannotPlan(
        f"{hot.key} heats chain that {proof.key} has proved: nothing is heated after the proof. "
        f"Accepted: {hot.operation.name} before {proof.operation.name}, or another "
        f"{proof.operation.name} after it"
    )
