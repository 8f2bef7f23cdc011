"""Checks: what the engine computed, judged against a limit; each a small pure function boat, answer → findings.

A finding's code is stable. A rule known only from memory never decides pass or fail alone: its finding says so.
"""
