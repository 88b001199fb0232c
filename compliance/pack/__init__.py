"""The issued set: one BagIt bag with hashes anyone can check, and its cover sheet.

Must not decide anything. Start reading in `assemble.py`.
"""
