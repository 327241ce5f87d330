"""Runs of finite elements that several test files look at, each made once a process."""

from functools import cache

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import SolidPull, pull_solid_link

LINK = LinkGeometry(8.0, 24.0, 26.8)
STEEL = SwiftCurve(1476.0, 0.06, 0.005)


@cache
def smooth_pull() -> SolidPull:
    """The link of 8 mm wire pulled through its maximum on the coarse mesh, without friction."""
    return pull_solid_link(LINK, STEEL, fineness="coarse")
