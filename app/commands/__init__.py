"""The commands of `mill-ledger`, a module for each group of them."""
