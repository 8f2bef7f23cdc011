"""Checks: what the engine computed, judged against a limit; small pure functions boat, answer → findings.

A finding's code is stable. A rule known only from memory never decides alone: its finding says so.
"""
