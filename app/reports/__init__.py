"""What a page says about a period. Rounding happens here, once; no SQL and no HTTP."""
