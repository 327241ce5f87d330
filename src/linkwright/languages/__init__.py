"""Messages in the operator's language: gettext catalogues and what reads them.

`wording.wording_of` gives the words of one language; each language is a folder with
``LC_MESSAGES/linkwright.po``, which people edit, and its compiled ``linkwright.mo``.
"""
