"""What the trade publishes: tables with their sources, and small functions over them.

Every number carries its unit, its source and how far that source was confirmed:
"verified" (read in a public text), "derived" (computed from verified figures) or
"memory" (not confirmed; shown as "from memory, confirm" and never decides pass or fail).
"""
