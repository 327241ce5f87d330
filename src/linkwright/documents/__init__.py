"""The papers of a plan and its pictures, made from the plan document alone.

`papers.write_papers` writes papers.pdf and pictures/; nothing is imported until it is used.
"""
