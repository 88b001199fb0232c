"""Compliance evidence and certification packs for solar, battery and charger installations.

Imports nothing: start reading in `compliance.cli`, which is the way in, or in
`compliance.rules.check`, which is the heart.
"""
