"""Requirements as data: language, limits, quantities, deciding, explaining.

Must not know documents or the command line. Start reading in `check.py`.
"""
