"""Certificates: their content, their paper, the proof of it, and its checking.

Pure: everything comes from a `Certificate` that the caller gives; nothing here knows a store.
"""
