"""HTTP: one module for each thing a person visits."""
