"""Programs that travel in every archive: they import nothing of ours and need Python alone."""
