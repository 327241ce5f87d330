"""The pages in the browser: they translate between people and services, and know nothing else."""
