"""What is said of one link under load, on a terminal and on paper alike.

Offers `CAUTION`, `FIRST`, and the figures that people read: `OF_PULL`, `OF_PROOF`. Loads nothing,
so that the command line may have it.
"""

CAUTION = (
    "A computed force is no rating: chain is fit for lifting only after the tests of its standard "
    "and a competent person's judgement; a chain that breaks on a test bed flies."
)

OF_PULL = (
    "maximum_force_kN", "extension_at_maximum_mm", "elongation_at_maximum_percent",
    "efficiency", "stiffness_kN_per_mm",
)  # fmt: skip
OF_PROOF = (
    "proof_force_kN", "permanent_set_mm", "residual_pitch_mm", "residual_inner_width_mm",
    "residual_outer_width_mm", "contact_area_mm2", "stiffness_before_kN_per_mm",
    "stiffness_after_kN_per_mm",
)  # fmt: skip

FIRST = {
    "instability": "the force passes its maximum before anything tears (instability)",
    "fracture": "the link tears before its maximum force (fracture)",
    "not reached": "neither maximum nor fracture was reached: the force is the greatest seen",
}
"""What ends the link, by `Breaking.first`."""
