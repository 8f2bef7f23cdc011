"""Actions: one function for each thing a person can do; no HTTP, no HTML.

Pages, command line and JSON interface call the same ones and cannot disagree.
Only this floor imports the engine and what stands above it, inside its functions: the server starts fast.
"""
