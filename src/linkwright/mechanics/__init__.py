"""Solvers without a trade: bending, contact, radial heat, the joint, the link."""
