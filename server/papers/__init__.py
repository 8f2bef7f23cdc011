"""What leaves the page: files for other tools, and papers for the yard."""
