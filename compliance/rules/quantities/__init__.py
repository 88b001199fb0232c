"""Worked-out values: which record fields feed which calculation, with unit and source.

Must not know requirements. Start reading in `binding.py`.
"""
