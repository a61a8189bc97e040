"""Safe keeping: what must hold before the ledger is served, its backups, and the watch over it."""
