"""One function a use case: a typed request in, a typed answer out.

The command line, the web and the Python interface only translate to and from these.
Nothing is imported here, so that a door pays only for what it opens.
"""
