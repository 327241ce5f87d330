"""Carbon equivalents: what a steel's analysis says about cold cracking when it is welded.

- `carbon_equivalents`: CE of the International Institute of Welding, Pcm, CET and CEN
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values, calculation


class CarbonEquivalents(NamedTuple):
    """Results of `carbon_equivalents`, all in mass per cent."""

    CE: Values
    Pcm: Values
    CET: Values
    CEN: Values


@calculation(
    source="CE: IIW document IX-535-67; Pcm: Y. Ito & K. Bessyo (1968); CET: EN 1011-2, Annex C; "
    "CEN: N. Yurioka et al. (1983)",
    needs={f"{element}_percent": (0.0, 100.0) for element in ("C", "Si", "Mn", "Cu", "Ni", "Cr")},
)
def carbon_equivalents(
    *,
    C_percent: Values,
    Si_percent: Values = 0.0,
    Mn_percent: Values = 0.0,
    Cu_percent: Values = 0.0,
    Ni_percent: Values = 0.0,
    Cr_percent: Values = 0.0,
    Mo_percent: Values = 0.0,
    V_percent: Values = 0.0,
    Nb_percent: Values = 0.0,
    B_percent: Values = 0.0,
) -> CarbonEquivalents:
    """Four carbon equivalents of one analysis (mass per cent).

        CE  = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15
        Pcm = C + Si/30 + (Mn + Cu + Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B
        CET = C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40
        CEN = C + A [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr + Mo + V + Nb)/5 + 5 B],
              A = 0.75 + 0.25 tanh(20 (C - 0.12))

    >>> e = carbon_equivalents(C_percent=0.18, Mn_percent=1.4, Mo_percent=0.05)
    >>> round(float(e.CET), 4)
    0.325

    References: as named in the source.
    """
    C, Si, Mn, Cu, Ni, Cr = C_percent, Si_percent, Mn_percent, Cu_percent, Ni_percent, Cr_percent
    Mo, V, Nb, B = Mo_percent, V_percent, Nb_percent, B_percent
    accommodation = 0.75 + 0.25 * np.tanh(20.0 * (C - 0.12))
    sum_CEN = Si / 24 + Mn / 6 + Cu / 15 + Ni / 20 + (Cr + Mo + V + Nb) / 5 + 5 * B
    return CarbonEquivalents(
        CE=C + Mn / 6 + (Cr + Mo + V) / 5 + (Ni + Cu) / 15,
        Pcm=C + Si / 30 + (Mn + Cu + Cr) / 20 + Ni / 60 + Mo / 15 + V / 10 + 5 * B,
        CET=C + (Mn + Mo) / 10 + (Cr + Cu) / 20 + Ni / 40,
        CEN=C + accommodation * sum_CEN,
    )
