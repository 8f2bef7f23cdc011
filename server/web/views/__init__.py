"""One frozen value for each template: exactly what it may show, already rounded and worded."""
