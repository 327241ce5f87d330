"""Steels: analysis, flow curves, heat, electricity, transformation, tempering."""
