"""Photos and papers: is a file whole, when does it say it was taken, a copy fit to show.

Must not know rules. Start reading in `images.py`.
"""
