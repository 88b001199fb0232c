"""Many jobs at once: which of them an auditor looks at, and what that can show.

Must not know the command line. Start reading in `draw.py`.
"""
