"""The ledger: the only writer of the database."""
