"""Tapchart: planner for the DC wiring layout of a boat.

The floors, from the ground up; a module imports only from floors below its own:
``units``, ``practice``, ``boat``, ``engine`` and ``store`` (which never meet), ``checks``,
``drawing``, ``papers``, ``actions``, ``web``, ``main``, ``cli``.
"""
