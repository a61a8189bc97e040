"""The Mill Chemistry Ledger: from the bench to the morning report."""
