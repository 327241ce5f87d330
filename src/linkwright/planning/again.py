"""A line planned again and again as its settings change; only what depends on them is worked.

`Again` first gives the nominal answer, which is quick, then on demand the plan with its
ensemble. Both equal what `plan_line` gives for the same job to the bit that settling leaves
(1e-6 of a wanted size); numbers have no derivation, which a recorded plan gives.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass, field

from linkwright.catalogue import Derivation, Results, ValidityWarning, keeping, not_recording
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.influence import Design, design_of
from linkwright.planning.plan import Job, LinePlan, Walked, judged, settle_job
from linkwright.route import Conditions, Kept, KeptRuns, Settled, walk


@dataclass
class Again:
    """What is kept of one line between its plans. Not for two threads at once."""

    ensemble: Ensemble
    _kept: Kept = field(default_factory=Kept)
    _runs: KeptRuns = field(default_factory=KeptRuns)
    _results: Results = field(default_factory=Results)
    _drawn: tuple[Conditions, Conditions, Design] | None = None

    def nominal(self, prepare: Callable[[], Job]) -> tuple[Job, Settled]:
        """The job and its settings and nominal steps. Raises `CannotPlan`."""
        with not_recording(), keeping(self._results), warnings.catch_warnings():
            warnings.simplefilter("ignore", ValidityWarning)
            job = prepare()
            return job, settle_job(job, self._kept)

    def plan(self, job: Job, settled: Settled) -> LinePlan:
        """The plan with its ensemble of a job that was settled here."""
        members, design = self._members(job)
        with not_recording(), warnings.catch_warnings():
            warnings.simplefilter("ignore", ValidityWarning)
            steps = walk(job.route, settled.set_ups, members, self._runs)
            return judged(job, settled, Walked(self.ensemble, members, design, steps), Derivation())

    def _members(self, job: Job) -> tuple[Conditions, Design]:
        """The members of before, as long as scatter and factors are those of before."""
        if self._drawn is None or self._drawn[0] != job.conditions:
            conditions = job.conditions
            members = drawn(conditions.scatter.values(), conditions.factors.values(), self.ensemble)
            self._drawn = (conditions, members, design_of(members, self.ensemble))
        return self._drawn[1], self._drawn[2]
