"""The command line: it translates between a terminal and the services, nothing more.

One file a command; the frame is in `main`, what reaches a terminal passes `show`.
"""
