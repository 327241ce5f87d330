"""The levels of the link response: runs, their surfaces, and what finer runs and friction change.

    Levels, .at     all levels without friction, anywhere
    friction_of     what friction adds

scripts/build_link_response.py says what the levels are and puts them into one table.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from gaussian_process import GaussianProcess
from numpy.typing import NDArray
from run_beam_links import AXES, NODES, SHARE, links_at
from run_solid_links import GATHERED as SOLID
from run_solid_links import LEVELS, RATIOS

from linkwright.mechanics.link_response import LinkMembers, LinkResponse
from linkwright.mechanics.section import Floats

MORE, MORE_OF_LENGTHS = (0.007, 0.005), (0.05, 0.02)
"""Scatter of medium over coarse about its trend and the slopes expected, of force and lengths."""
SET_NOISE = 0.05
"""Wavering of the coarse mesh's sets over the share, which is not to be followed."""
SAMPLE = 2
"""Every second run is enough to find the lengths of the set's process."""
BEAM = Path("scripts/levels/beam.json")


class Runs(NamedTuple):
    """Runs of one level; values of the set over (run, share) lie in a row."""

    number: NDArray[np.intp]
    place: Floats
    force: Floats
    """Logarithm of the maximum force over d^2 Rm."""
    extension: Floats
    """Logarithm of the extension there over d."""
    of: NDArray[np.intp]
    """Row of the run of every set."""
    share: Floats
    grown: Floats
    """Logarithm of the set over d."""

    @classmethod
    def of_level(cls, rows: list[dict[str, Any]], level: str) -> Runs:
        """The runs of one level, in their order."""
        own = [one for one in rows if one["level"] == level and "failed" not in one]
        of = np.concatenate([[k] * len(one["share"]) for k, one in enumerate(own)] or [[]])
        share, grown = (
            np.concatenate([np.array(one[key], dtype=float) for one in own] or [[]])
            for key in ("share", "set")
        )
        known = np.isfinite(grown)
        return cls(
            np.array([one["run"] for one in own], dtype=int),
            np.array([one["place"] for one in own]).reshape(-1, RATIOS),
            np.log([one["maximum_force"] for one in own]),
            np.log([one["extension_at_maximum"] for one in own]),
            of.astype(int)[known], share[known], np.log(grown[known]),
        )  # fmt: skip


class Finer(NamedTuple):
    """Logarithm of a finer level over a coarser one, where both have a run."""

    number: NDArray[np.intp]
    place: Floats
    force: Floats
    extension: Floats
    of: NDArray[np.intp]
    share: Floats
    grown: Floats


def onset(place: Floats, log_force: Floats, share: Floats) -> Floats:
    """Logarithm of the force over d^2 and the stress at which the steel begins to flow."""
    exponent, prestrain = (AXES[k].value(place[:, k]) for k in (3, 4))
    total = np.maximum(exponent, prestrain)
    begins = exponent * np.log(prestrain / total) + total - prestrain
    return np.asarray(np.log(share) + log_force - begins)


def with_share(place: Floats, log_force: Floats, share: Floats) -> Floats:
    """Inputs of the set's process."""
    return np.column_stack([place, SHARE.place(share), onset(place, log_force, share)])


class Levels:
    """The processes of all levels."""

    def __init__(self) -> None:
        rows = json.loads(SOLID.read_text("utf-8"))
        self.runs = {name: Runs.of_level(rows, name) for name in LEVELS}
        coarse = self.runs["coarse"]
        self.force = GaussianProcess.fitted(coarse.place, coarse.force)
        self.extension = GaussianProcess.fitted(coarse.place, coarse.extension)
        sets = with_share(coarse.place[coarse.of], coarse.force[coarse.of], coarse.share)
        self.set = GaussianProcess.fitted(sets, coarse.grown, coarse.of % SAMPLE == 0, SET_NOISE)
        self.medium = self._finer("medium", "coarse")
        self.fine = self._finer("fine", "medium")
        self.halved = self._finer("coarse-half-steps", "coarse")
        self.rubbing = self._finer("friction", "coarse")
        more = self.medium
        self.more_force = GaussianProcess.trend(more.place, more.force, *MORE)
        self.more_extension = GaussianProcess.trend(more.place, more.extension, *MORE_OF_LENGTHS)
        self.more_set = GaussianProcess.trend(
            np.column_stack([more.place[more.of], SHARE.place(more.share)]), more.grown,
            *MORE_OF_LENGTHS,
        )  # fmt: skip

    def _finer(self, fine: str, coarse: str) -> Finer:
        """Runs of one level over those of another."""
        ours, theirs = self.runs[fine], self.runs[coarse]
        partner = {number: row for row, number in enumerate(theirs.number.tolist())}
        rows = [k for k, number in enumerate(ours.number.tolist()) if number in partner]
        partners = [partner[number] for number in ours.number[rows].tolist()]
        over, under = self._over_surface(ours), self._over_surface(theirs)
        of, share, grown = [], [], []
        for index, (k, other) in enumerate(zip(rows, partners, strict=True)):
            mine, its = ours.of == k, theirs.of == other
            # what is left over a smooth surface may be taken linearly between shares
            known = np.interp(ours.share[mine], theirs.share[its], under[its])
            of.append(np.full(int(mine.sum()), index))
            share.append(ours.share[mine])
            grown.append(over[mine] - known)
        return Finer(
            ours.number[rows], ours.place[rows], ours.force[rows] - theirs.force[partners],
            ours.extension[rows] - theirs.extension[partners],
            np.concatenate(of or [[]]).astype(int), np.concatenate(share or [[]]),
            np.concatenate(grown or [[]]),
        )  # fmt: skip

    def _over_surface(self, runs: Runs) -> Floats:
        """Logarithm of the sets of runs over the coarse surface at their shares."""
        place = runs.place[runs.of]
        return runs.grown - self.set.at(with_share(place, self.force.at(place), runs.share))

    def rest(self) -> dict[str, float]:
        """What an endless mesh and endless steps add, as means over the runs there are.

        The error of a step is proportional to it, so halving it changes the result by what is
        left after it. Of the mesh: the change from medium to fine, and the rest of a geometric
        series with the ratio of that to the change before, or as much again if that is no series.
        Without a fine run nothing is added.
        """
        both = np.isin(self.medium.number, self.fine.number)
        found = {}
        for name in ("force", "extension", "grown"):
            steps, fine, before = (
                getattr(level, name) for level in (self.halved, self.fine, self.medium)
            )
            quantity = "set" if name == "grown" else name
            found[f"{quantity}, steps"] = float(np.mean(steps))
            if len(fine):
                change = float(np.mean(fine))
                known = before if name == "grown" else before[both]
                ratio = abs(float(np.mean(known)) / change)
                found[f"{quantity}, fine over medium"] = change
                found[f"{quantity}, beyond fine"] = change / (max(ratio, 2.0) - 1)
        return found

    def at(self, place: Floats) -> tuple[Floats, Floats, Floats]:
        """Logarithms of force, extension, and set at the nodes of the share (places, nodes)."""
        rest = self.rest()
        add = {name: sum(value for key, value in rest.items() if key.startswith(name))
               for name in ("force", "extension", "set")}  # fmt: skip
        coarse = self.force.at(place)
        force = coarse + self.more_force.at(place) + add["force"]
        extension = self.extension.at(place) + self.more_extension.at(place) + add["extension"]
        grown = [
            self.set.at(with_share(place, coarse, np.full(len(place), float(SHARE.value(node)))))
            + self.more_set.at(np.column_stack([place, np.full(len(place), node)]))
            for node in NODES
        ]
        return force, extension, np.column_stack(grown) + add["set"]


class Rubbed(NamedTuple):
    """Effect of friction on a quantity: the beam's times ``factor`` and a trend over that."""

    factor: float
    trend: Floats
    """Constant, then slopes in the places, for the set in that of the share too."""
    left_out: Floats


def friction_of(levels: Levels) -> dict[str, Rubbed]:
    """Effect at the coefficient of the runs, on logarithms; that on the set at the same share."""
    beam = LinkResponse.of_table(json.loads(BEAM.read_text("utf-8")))
    runs, effect = levels.runs["friction"], levels.rubbing
    own = LEVELS["friction"].friction_coefficient
    without, with_it = (
        links_at(np.column_stack([effect.place, np.full(len(effect.place), AXES[-1].place(at))]))
        for at in (0.0, own)
    )
    tops = [beam.peak(links) for links in (without, with_it)]
    sets = [
        beam.permanent_set_mm(of_rows(links, effect.of), effect.share * top[effect.of])
        for links, (top, _) in zip((without, with_it), tops, strict=True)
    ]
    guesses = {
        "force": np.log(tops[1][0] / tops[0][0]),
        "extension": np.log(tops[1][1] / tops[0][1]),
        "set": np.log(sets[1] / sets[0]),
    }
    whole = np.arange(len(runs.number))
    at_share = np.column_stack([effect.place[effect.of], SHARE.place(effect.share)])
    found = {}
    for name, values, inputs, groups in (
        ("force", effect.force, effect.place, whole),
        ("extension", effect.extension, effect.place, whole),
        ("set", effect.grown, at_share, effect.of),
    ):
        guess = guesses[name]
        factor = float(guess @ values / (guess @ guess))
        spared = MORE if name == "force" else MORE_OF_LENGTHS
        trend = GaussianProcess.trend(inputs, values - factor * guess, *spared)
        corners = np.vstack([np.zeros(inputs.shape[1]), np.eye(inputs.shape[1])])
        there = trend.at(corners)
        slopes = np.concatenate([there[:1], there[1:] - there[0]])
        found[name] = Rubbed(factor, slopes, trend.left_out(groups))
    return found


def of_rows(links: LinkMembers, rows: NDArray[np.intp]) -> LinkMembers:
    """Some of the links."""
    return LinkMembers(*(part if np.ndim(part) == 0 else np.asarray(part)[rows] for part in links))
