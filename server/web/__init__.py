"""HTTP and HTML: routes translate between a request and an action, and decide nothing else."""
