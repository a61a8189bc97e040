"""What leaves the ledger as a file."""
