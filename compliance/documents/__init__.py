"""From templates and findings to a tree, and from one tree to PDF and DOCX.

Must not read records or decide anything. Start reading in `content.py`.
"""
