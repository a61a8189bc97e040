"""Published relations of sucrose solutions and the laboratory: arrays in, arrays out."""
