"""Chains: geometry, requirements and admissible routes."""
