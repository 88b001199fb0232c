"""Many jobs at once: what the office chases, which jobs an auditor looks at and what they show.

Must not know the command line. Start reading in `checked.py` (a folder of jobs), `chase.py`
(what is lacking, of whom, by when) or `draw.py` (samples).
"""
